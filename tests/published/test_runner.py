"""The runner itself: run as a user runs it, on a small file with one case of every outcome."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from case_files import CaseFileError, Expected, cases_in, faults, known_topics, load, rounding_of

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
SLENDER = {"lm_in": 5.125, "ls_total_in": 3.0, "D_in": 0.75}


def case(name, topic="nds_l_over_D", inputs=SLENDER, value=4.0, **more):
    return {"id": name, "topic": topic, "source": "test", "inputs": inputs, "expected": {"l_over_D": {"value": value, "abs": 1e-6}}, **more}


FRAME = next(c for c in json.loads((HERE / "frame_cases.json").read_text(encoding="utf-8"))["cases"])
KNOWN, OTHER = (c for c in json.loads((HERE / "cases.json").read_text(encoding="utf-8")) if c["topic"] == "asd_combination")
BY_EDITION = [KNOWN, {**OTHER, "inputs": {**OTHER["inputs"], "edition": "asce7_98"}}]  # an edition that nobody has
CASES = [
    case("right"), case("wrong", value=5.0), case("faulty", inputs={**SLENDER, "colour": 1}), case("short", inputs={"lm_in": 5.0}),
    case("unknown", topic="a_topic_of_tomorrow"), FRAME, *BY_EDITION,
]  # fmt: skip


def run(*arguments):
    command = [sys.executable, "-m", "pytest", *arguments, "-p", "no:cacheprovider"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


@pytest.mark.parametrize("as_folder", [False, True])
def test_only_the_given_cases_run_and_every_outcome_is_told(tmp_path, as_folder):
    (tmp_path / "kept.json").write_text(json.dumps({"note": "n", "cases": CASES} if as_folder else CASES), encoding="utf-8")
    (tmp_path / "topics.json").write_text('{"nds_l_over_D": {"n": 1}}', encoding="utf-8")
    code, text = run("tests/published", "--cases", str(tmp_path if as_folder else tmp_path / "kept.json"), "-vv")
    assert code == 1
    assert "collected 8 items" in text
    assert "test_case[right]" in text
    assert "nds_l_over_D: 1/4" in text
    assert "a_topic_of_tomorrow: 0/1 (not implemented)" in text
    assert "plane_frame: 1/1" in text
    assert "asd_combination: 1/2 (1 not implemented)" in text
    assert "l_over_D: expected 5 within 1e-06, got 4.0" in text
    assert "fault of the case file, case faulty: input colour is not one that topic nds_l_over_D has" in text
    assert "fault of the case file, case short: input D_in is missing; input ls_total_in is missing" in text
    assert "3 failed, 3 passed, 2 skipped" in text


def test_a_path_without_cases_is_an_error_of_usage(tmp_path):
    (tmp_path / "other.json").write_text("{}", encoding="utf-8")
    for path, said in ((tmp_path / "nothing.json", "no such file"), (tmp_path, "holds no cases")):
        code, text = run("tests/published", "--cases", str(path))
        assert code == 4
        assert said in text


def test_without_the_option_the_own_copy_is_collected():
    own = len(load(HERE / "cases.json")) + len(load(HERE / "frame_cases.json"))
    code, text = run("tests/published/test_published_cases.py", "--collect-only")
    assert code == 0
    assert f"{own} tests collected" in text


def test_collection_from_the_root_does_not_need_the_option():
    code, text = run("--collect-only", "tests")
    assert "unrecognized arguments" not in text
    assert "test_case[NDS-E7]" in text, text[-2000:]
    assert code in (0, 2)  # 2: another test file does not import; this test is about the option alone


def test_rounding_is_half_up_to_the_multiple():
    rounding = rounding_of({"rounding": {"Z_lb": 10}})
    assert [rounding("Z_lb", v) for v in (2624.9, 2625.0, 2634.99)] == [2620, 2630, 2630]
    assert rounding("other", 2624.9) == 2624.9


@pytest.mark.parametrize(("got", "met"), [(4.0, True), (4.01, True), (4.011, False), (float("nan"), False)])
def test_tolerance(got, met):
    assert Expected("x", 4.0, 0.01).met_by(got) is met


def test_faults_of_a_case():
    topics = known_topics()
    assert faults(case("x"), topics) == []
    assert faults(FRAME, topics) == []
    assert "tolerance" in faults({**case("x"), "expected": {"l_over_D": {"value": 4.0}}}, topics)[0]
    assert faults({**case("x"), "expected": {}}, topics)
    assert faults({**FRAME, "inputs": {**FRAME["inputs"], "colour": 1}}, topics)


def test_every_own_case_is_without_fault_and_has_an_id_of_its_own():
    topics = known_topics()
    cases = load(HERE / "cases.json") + load(HERE / "frame_cases.json")
    assert {c["id"]: faults(c, topics) for c in cases if faults(c, topics)} == {}
    assert len({c["id"] for c in cases}) == len(cases)


def test_a_file_that_is_no_json_is_said(tmp_path):
    broken = tmp_path / "broken.json"
    broken.write_text("{", encoding="utf-8")
    with pytest.raises(CaseFileError, match="cannot be read as JSON"):
        cases_in(broken)
