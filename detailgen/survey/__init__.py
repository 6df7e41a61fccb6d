"""From the project file to the project."""

from detailgen.survey.forces import read_forces, trusses_in
from detailgen.survey.locate import located
from detailgen.survey.reader import read
from detailgen.survey.schema import schema
from detailgen.survey.starter import write_starter

__all__ = ["located", "read", "read_forces", "schema", "trusses_in", "write_starter"]
