"""Room of the house; see DEVELOPERS.md."""
