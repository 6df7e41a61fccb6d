"""Typst, in process: a template of the firm, one JSON of content, a PDF. The same content gives the same bytes; no system font is used."""

from __future__ import annotations

import json
from pathlib import Path

from detailgen.core.errors import OutputError
from detailgen.core.templates import template_path


def write_pdf(template: str, content: object, path: Path, templates: str = "") -> None:
    """Fill ``report/<template>.typ`` with content and write the PDF.

    Raises: OutputError with Typst's message where the template fails
    """
    import typst

    source = template_path(f"report/{template}.typ", templates)
    fonts = template_path("report/fonts", templates)
    data = json.dumps(content, ensure_ascii=False, allow_nan=False, sort_keys=True)
    try:
        pdf = typst.compile(
            str(source),
            root=str(source.parent),
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs={"content": data},
            pdf_tags=False,  # tags make the file four times as large, and some readers complain about them
        )
    except RuntimeError as error:
        raise OutputError(f"the report template {template}.typ fails: {error}") from error
    if not isinstance(pdf, bytes):
        raise OutputError(f"the report template {template}.typ gave no single PDF")
    path.write_bytes(pdf)
