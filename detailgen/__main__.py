"""``python -m detailgen`` and the installed command."""

import gc
import os

# The matrices of a truss are small: threads of the linear algebra would wait for each other and take the cores from the processes that write.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# A run is short and makes many records that live to its end: looking for garbage as often as usual costs a tenth of it.
gc.set_threshold(50_000, 20, 20)

from detailgen.cli import main  # noqa: E402 - the imports are where most of it is saved

if __name__ == "__main__":
    main()
