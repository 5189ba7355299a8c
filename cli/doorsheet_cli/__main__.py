"""Let `python -m doorsheet_cli` do what `doorsheet` does."""

from doorsheet_cli.main import main

main()
