"""``python -m detailgen`` and the installed command."""

import gc

# A run is short and makes many records that live to its end: looking for garbage as often as usual costs a tenth of it.
gc.set_threshold(50_000, 20, 20)

from detailgen.cli import main  # noqa: E402 - the imports are where most of it is saved

if __name__ == "__main__":
    main()
