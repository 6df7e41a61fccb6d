"""Names and notes of a survey that look like markup, code or control characters: every file of the package shows them as the text that they are."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace

import ezdxf
import openpyxl
import pypdf
import pytest
from package_runs import Made, kept_folder, one_truss, package
from test_page_browser import CHROMIUM

WORDS = "</script><img src=x onerror=alert(1)> \"'&; %%c50%%d ^J{\\fArial;x}\\P $x$ #set ]]> *b* =1+1 é漢😀"
NUMBER = "%%u26^I-'031'"
NOTE = "basis </textarea><svg onload=alert(3)> %%p45 \\\\X2\\\\ {{7*7}} #panic() é"


def quoted(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


CHECK = f"{{kind: check, member: top chord, ply: near, at: 9'-6\", length: 4 ft, photo: P19, factor: 0.95, basis: {quoted(NOTE)}}}"


@pytest.fixture(scope="module")
def made() -> Made:
    project = one_truss(
        kept_folder("hostile") / "job",
        ("name: Harrow Lane Printworks", f"name: {quoted(WORDS)}"),
        ("number: 26-031", f"number: {quoted(NUMBER)}"),
        ("location: Press hall", f"location: {quoted(WORDS)}"),
        ("view: looking north", f"view: {quoted(WORDS)}"),
        ("bay: grid line 2", f"bay: {quoted(WORDS)}"),
        ("photo: P14}", f"photo: {quoted(WORDS)}}}\n      - {CHECK}"),
        ("    damage:", f"    overrides: [{{item: two pinned supports, reason: {quoted(NOTE)}}}]\n    damage:"),
    )
    out = kept_folder("hostile") / "out"
    done = package(project, out)
    assert done.answer.code == 0, done.answer.out
    (folder,) = out.iterdir()
    return replace(done, folder=folder)


def squeezed(text: str) -> str:
    """Without white space: sheets and pages break lines where they like."""
    return re.sub(r"\s+", "", text)


def test_step_holds_the_words(made: Made) -> None:
    found = sorted((made.folder / "models").glob("*.step"))
    assert len(found) == 2
    for path in found:
        text = path.read_text(encoding="ascii")
        header = text[: text.index("DATA;")]
        description = re.search(r"FILE_DESCRIPTION\(\(('(?:[^']|'')*')\)", header)[1]
        plain = description[1:-1].replace("''", "'")
        plain = re.sub(r"\\X2\\([0-9A-F]+)\\X0\\", lambda m: bytes.fromhex(m[1]).decode("utf-16-be"), plain)
        plain = re.sub(r"\\X4\\([0-9A-F]+)\\X0\\", lambda m: bytes.fromhex(m[1]).decode("utf-32-be"), plain).replace("\\\\", "\\")
        assert WORDS in plain
        assert NUMBER in plain


def lettered(document) -> list[str]:
    """Every text of a drawing as it is shown, the title block's fields among them."""
    texts = [e for layout in document.layouts for e in layout.query("TEXT")]
    texts += [a for layout in document.layouts for insert in layout.query("INSERT") for a in insert.attribs]
    return [e.plain_text() for e in texts]


def test_dxf_shows_the_words_and_no_control_code(made: Made) -> None:
    found = sorted((made.folder / "drawings").glob("*.dxf"))
    assert len(found) > 1
    for path in found:
        document = ezdxf.readfile(path)
        shown = lettered(document)
        assert not any("Ø" in s or "°" in s for s in shown), path
        whole = squeezed("".join(shown))
        assert "%%c50%%d" in whole
        assert "^J{\\fArial;x}\\P" in whole
    texts = "".join(text for path in found for text in lettered(ezdxf.readfile(path)))
    assert squeezed(NOTE) in squeezed(texts)


def test_pdf_shows_the_words(made: Made) -> None:
    report = pypdf.PdfReader(made.folder / "report" / "calculations.pdf").pages[0].extract_text()
    ascii_words = squeezed(WORDS.split("é")[0])
    assert ascii_words in squeezed(report)
    sheets = "".join(page.extract_text() for page in pypdf.PdfReader(made.folder / "drawings" / "all_sheets.pdf").pages)
    assert "%%c50%%d" in squeezed(sheets)
    assert "onerror=alert(1)>" in squeezed(sheets)
    whole = "".join(page.extract_text() for page in pypdf.PdfReader(made.folder / "report" / "calculations.pdf").pages)
    for text in (sheets, whole):
        assert squeezed(NOTE.removesuffix("é")) in squeezed(text)


def test_tables_hold_no_formula(made: Made) -> None:
    """A cell that begins with an equals sign would be computed by a spreadsheet; ours begin with the mark of the truss or a word."""
    book = openpyxl.load_workbook(made.folder / "schedules" / "schedules.xlsx")
    assert not [c for sheet in book for row in sheet.iter_rows() for c in row if c.data_type == "f"]
    for path in made.folder.rglob("*.csv"):
        with path.open(encoding="utf-8", newline="") as stream:
            assert not [c for row in csv.reader(stream) for c in row if c.startswith(("=", "@", "\t"))]
    assert json.loads((made.folder / "package.json").read_text(encoding="utf-8"))["project"] == WORDS


@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium on this machine: apt-get install chromium (CI brings it: test_page_browser)")
def test_the_page_shows_the_words_and_runs_none(made: Made) -> None:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"])
        page = browser.new_page()
        said: list[str] = []
        page.on("dialog", lambda d: (said.append(d.message), d.dismiss()))
        page.on("console", lambda m: said.append(m.text))
        page.on("pageerror", lambda e: said.append(str(e)))
        asked: list[str] = []
        page.on("request", lambda r: asked.append(r.url))
        page.goto((made.folder / "index.html").as_uri())
        page.locator(".detail .joint").first.scroll_into_view_if_needed()
        page.wait_for_selector(".detail .joint.live")
        assert page.locator("h1").inner_text() == WORDS
        assert page.title().startswith(WORDS)
        assert page.locator("img").count() == 0
        assert page.locator("body").inner_text().count(NOTE) >= 2  # the check's basis and the override's reason
        assert said == []
        assert len(asked) == 1
        browser.close()


def test_the_folder_has_a_plain_name(made: Made) -> None:
    assert re.fullmatch(r"[A-Za-z0-9-]+", made.folder.name)
    assert [p.name for p in made.folder.parent.iterdir()] == [made.folder.name]
