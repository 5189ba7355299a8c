"""Room `trade`: facts of the trade with their sources, and look-ups in them.

Colours of conductors, sizes of paper, heights and widths of lettering.  What a
circuit does with them, and where anything stands on the page, belongs in the
rooms above; this one imports none of them.
"""
