"""The review page of a package."""

from detailgen.outputs.page.write import write_page

__all__ = ["write_page"]
