"""``python -m detailgen`` and the installed command."""

import contextlib
import gc
import os
import sys

# The matrices of a truss are small: threads of the linear algebra would wait for each other and take the cores from the processes that write.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# A run is short and makes many records that live to its end: looking for garbage as often as usual costs a tenth of it.
gc.set_threshold(50_000, 20, 20)

from detailgen import cli  # noqa: E402 - the imports are where most of it is saved


def main() -> None:
    """Run the command, then end the process at once: all is written, and to give back the records one by one takes a third of a second."""
    code: object = 1
    try:
        cli.main()
    except SystemExit as end:
        code = end.code
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError):  # nobody reads it any more
            stream.flush()
    os._exit(code if isinstance(code, int) else 0 if code is None else 1)


if __name__ == "__main__":
    main()
