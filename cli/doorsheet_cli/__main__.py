"""`python -m doorsheet_cli`: the command, where the shell doesn't find it."""

from doorsheet_cli.main import main

__all__: list[str] = []

if __name__ == "__main__":
    main()
