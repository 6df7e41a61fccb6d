"""``python -m detailgen`` and the installed command."""

from detailgen.cli import main

if __name__ == "__main__":
    main()
