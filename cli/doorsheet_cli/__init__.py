"""The `doorsheet` command: parse, call the library, print."""
