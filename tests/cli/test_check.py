"""`spareway check`: its exit codes, its order, what it never leaves out, and that people can read it."""
from __future__ import annotations

import dataclasses
import re
import zipfile
from pathlib import Path

import pytest

from spareway import bundled
from spareway.cli.layout import MARKS, TITLES
from spareway.folder import pack
from spareway.rules.grouped import code_of
from tests.cli.cases import GRANARY, RIDGE, WEIR, WRONG_END, document, page, too_long, typed

CAUTION = "Prove dead at the point of work, every time."
STAGES = [(WEIR, "found"), (WEIR, "proposed"), (GRANARY, "found"), (GRANARY, "proposed"), (GRANARY, "fitted"),
          (RIDGE, "found"), (RIDGE, "proposed")]
CALM = '''schema = 1
books = { bs7671 = "2018+A4" }
nation = "England"
dates = { survey = "2026-11-09" }
'''


@pytest.mark.parametrize(("job", "stage"), STAGES)
def test_the_exit_code_follows_the_worst_verdict(job: Path, stage: str) -> None:
    """1 with a stop or a fails, 3 with unknowns alone, 0 otherwise."""
    code, said = document("check", job, "--stage", stage)
    worst = next(v for v in said["counts"] if said["counts"][v])
    assert code == {"stop": 1, "fails": 1, "unknown": 3}.get(worst, 0)
    assert said["verdict"] == worst
    assert said["stage"] == stage


def test_unknown_alone_is_3_and_a_mistake_laid_over_is_1() -> None:
    """The finished job waits for readings; with its supply at the wrong end it fails."""
    assert typed("check", GRANARY).exit_code == 3
    done = typed("check", GRANARY, "--with", WRONG_END)
    assert done.exit_code == 1
    assert "isolator.surge modules: none; whatever they open, still isolator.surge.L line" in " ".join(done.stdout.split())


def test_nothing_worse_than_advice_is_0(tmp_path: Path) -> None:
    """A home that keeps every rule ends with 0, and still carries the caution."""
    (tmp_path / "job.toml").write_text(CALM)
    (tmp_path / "found.toml").write_text(bundled.text("rules/specimen.toml"))
    code, said = document("check", tmp_path)
    assert {v: n for v, n in said["counts"].items() if n and v in ("stop", "fails", "unknown")} == {}
    done = typed("check", tmp_path)
    assert (code, done.exit_code) == (0, 0)
    assert CAUTION in done.stdout
    ran = {f["rule"] for f in said["findings"]} | set(said["rules"]["without subject"])
    assert ran >= set(said["rules"]["run"]) > set(), "a short list names the rules that ran"
    assert f"{len(said['rules']['run'])} rules ran." in done.stdout


@pytest.mark.parametrize("full", [(), ("--full",)])
@pytest.mark.parametrize(("job", "stage"), STAGES)
def test_a_page_is_worst_first_no_wider_than_100_and_ends_with_the_cautions(job: Path, stage: str, full: tuple[str, ...]
                                                                            ) -> None:
    """Verdicts stand in order, each mark beside its word, every rule that found something is there, cautions come last."""
    text = page("check", job, "--stage", stage, *full)
    said = document("check", job, "--stage", stage)[1]
    assert too_long(text) == []
    heads = re.findall(r"^(.{3}) (Stop|Fails|Unknown|Advice|Within the limit checked|Not applicable)  ([\w-]+): ",
                       text, re.MULTILINE)
    words = [word for _, word, _ in heads]
    assert words == sorted(words, key=list(TITLES.values()).index)
    assert all(MARKS[verdict] == sign for sign, word, _ in heads for verdict, title in TITLES.items() if title == word)
    listed = TITLES if full else ("stop", "fails", "unknown", "advice")
    today = document("check", job, "--stage", "found")[1]["findings"] if stage == "proposed" else []
    wanted = [f for f in said["findings"] if f["verdict"] in listed] + [f for f in today if f["verdict"] == "stop"]
    assert {(word, rule) for _, word, rule in heads} == {(TITLES[f["verdict"]], code_of(f)) for f in wanted}
    assert text.rstrip().endswith("\n".join(said["caution"]))


def test_a_proposal_leads_with_what_must_be_made_safe_as_found() -> None:
    """The stops of the survey stand before the first count of what is only proposed; a survey says its own once."""
    text = " ".join(page("check", WEIR, "--stage", "proposed").split())
    first, _, rest = text.partition("Two fail")
    stops = [f for f in document("check", WEIR, "--stage", "found")[1]["findings"] if f["verdict"] == "stop"]
    assert len(stops) == 2
    assert first.count("] : ") + first.count("]:") == len(stops)
    assert all(f["subject"] in first and f["remedial"][:30] in first for f in stops)
    assert not re.search(r"(?<!if so: )\bStop ", rest)
    assert "As found, and so today" not in page("check", WEIR, "--stage", "found")


def test_every_bad_finding_is_on_the_page_with_its_place() -> None:
    """Each stop, fail, unknown and advice of the survey stands there with subject, file and line."""
    text = " ".join(page("check", WEIR, "--stage", "found").split())
    said = document("check", WEIR, "--stage", "found")[1]
    bad = [f for f in said["findings"] if f["verdict"] in ("stop", "fails", "unknown", "advice")]
    assert len(bad) > 60
    for finding in bad:
        if finding["subject"] != "installation":
            assert f"{finding['subject']} [{finding['where']}]" in text


def test_everything_missing_is_named_as_something_to_read() -> None:
    """What an unknown waits for stands at the end, by its name in the files."""
    todo = " ".join(page("check", WEIR, "--stage", "found").split()).split("To read, measure or ask")[1]
    said = document("check", WEIR, "--stage", "found")[1]
    gaps = [gap for f in said["findings"] if f["verdict"] == "unknown" for gap in f["missing"]]
    assert len(gaps) > 20
    for gap in gaps:
        assert f"({gap['quantity']})" in todo or f"{gap['says']} of " in todo
        assert gap["at"].removesuffix(f".{gap['quantity']}") in todo


def test_full_shows_the_working_and_its_sources() -> None:
    """With --full a limit's sum and the page of its table stand under the finding."""
    text = " ".join(page("check", WEIR, "--stage", "proposed", "--full").split())
    said = document("check", WEIR, "--stage", "proposed", "--full")[1]
    finding = next(f for f in said["findings"] if f["rule"] == "CI1" and f["subject"] == "circuits.cooker")
    assert finding["working"]
    assert finding["sources"]
    for line in (*finding["working"], *finding["sources"]):
        assert " ".join(line.split()) in text


def test_a_finding_never_promises_what_was_not_measured() -> None:
    """The words that must never be said are not said, on any page of any example."""
    for job, stage in STAGES:
        text = " ".join(page("check", job, "--stage", stage, "--full").lower().split())
        text = text.replace("to do: locked off and proved dead: ", "to do: ")  # what is to be done first, not what was
        assert not re.search(r"\b(safe|compliant|certified|passes|passed)\b", text.replace("make safe", "").replace("must be made safe now", "")), (job, stage)
        assert not re.search(r"\bdead\b(?! by the record| at the point of work)", text.replace("prove dead", "")), (job, stage)


def test_a_zip_is_read_as_the_folder_is(tmp_path: Path) -> None:
    """The same job in a zip gives the same document, with an overlay from a file too."""
    packed = tmp_path / "sent.zip"
    packed.write_bytes(pack(GRANARY))
    assert document("check", packed) == document("check", GRANARY)
    assert document("check", packed, "--with", WRONG_END) == document("check", GRANARY, "--with", WRONG_END)


def test_an_overlay_out_of_the_zip(tmp_path: Path) -> None:
    """An overlay that travels in the zip is found by its name; one that is nowhere is a fault."""
    packed = tmp_path / "sent.zip"
    packed.write_bytes(pack(GRANARY))
    done = typed("check", packed, "--with", "nowhere.toml")
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr == "nowhere.toml: there is no such file, here or in the zip\n"
    with zipfile.ZipFile(packed, "a") as added:
        added.writestr("wrong-end.toml", WRONG_END.read_text())
    assert document("check", packed, "--with", "wrong-end.toml")[0] == 1


def test_an_overlay_of_the_job_is_found_by_its_name() -> None:
    """`--with wrong-end.toml` is looked for in the job too."""
    assert typed("check", GRANARY, "--with", "wrong-end.toml").exit_code == 1
    assert typed("check", WEIR, "--with", "option-landing-neutral.toml").exit_code in (1, 3)


def test_a_rule_that_breaks_ends_with_4_and_judges_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A fault of the program reads as one, in one sentence, and never as an unknown (decision 012)."""
    from spareway import api

    def crash(*_: object) -> object:
        raise KeyError("a name")
    whole = api.all_rules()
    broken = tuple(dataclasses.replace(rule, ask=crash) if rule.code == "BO1" else rule for rule in whole)
    monkeypatch.setattr(api, "all_rules", lambda: broken)
    for more in ((), ("--json",), ("--sarif",), ("--full",)):
        done = typed("check", GRANARY, *more)
        assert (done.exit_code, done.stdout) == (4, "")
        assert done.stderr.startswith("spareway: rule BO1 broke on equipment.")
        assert "fault of the program" in done.stderr
        assert done.stderr.count("\n") == 1
