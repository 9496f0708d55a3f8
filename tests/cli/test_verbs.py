"""The other verbs, the list of them, and what happens when the input is bad."""
from __future__ import annotations

import os
import re
import shutil
from pathlib import Path

import pytest

from spareway.api import explain
from spareway.cli.verbs import VERBS
from spareway.job.rows import ROW_FILES, Reading, header
from spareway.job.types import STAGES
from spareway.readings.mapped import OF_PLACE, OF_READING, TOP
from tests.cli.cases import GRANARY, RIDGE, WEIR, WRONG_END, document, too_long, typed


def test_every_verb_is_listed_in_one_line_and_explains_itself() -> None:
    """`--help` lists each; each has a help of its own no wider than a page."""
    listed = typed("--help").stdout
    assert typed("-h").stdout == listed
    for verb, says in VERBS.items():
        assert re.search(rf"^  {verb} +{re.escape(says)}$", listed, re.MULTILINE)
        own = typed(verb, "--help")
        assert own.exit_code == 0
        assert too_long(own.stdout) == []


def test_nothing_typed_shows_the_help_and_is_no_success() -> None:
    done = typed()
    assert done.exit_code == 2
    assert "Verbs:" in done.stdout


@pytest.mark.parametrize(("word", "near"), [("chek", "check"), ("explian", "explain"), ("isolat", "isolate"),
                                           ("doctr", "doctor")])
def test_a_misspelt_verb_names_the_nearest(word: str, near: str) -> None:
    done = typed(word)
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr == f'command line: there is no verb "{word}"; did you mean {near}?\n'


def test_an_unlike_verb_names_them_all() -> None:
    says = typed("zzz").stderr
    assert all(verb in says for verb in VERBS)


@pytest.mark.parametrize("words", [("check",), ("check", WEIR, "--stage", "late"), ("check", WEIR, "--ful"),
                                   ("check", WEIR, "too", "much"), ("isolate", WEIR), ("isolate", WEIR, "meter", "--as", "cat"),
                                   ("new", "x", "--fuse", "eighty"), ("new", "x", "--fuse", "nan"), ("new", "x", "--fuse", "0"),
                                   ("new", "x", "--on", "yesterday")])
def test_bad_usage_is_one_line_and_2(words: tuple[object, ...]) -> None:
    """What is typed wrongly is told in one line on stderr; nothing goes to stdout."""
    done = typed(*words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert re.fullmatch(r"command line: [^\n]+\n", done.stderr)


def test_every_fault_of_a_job_is_a_line_with_its_place(tmp_path: Path) -> None:
    """Two faults in two files: two lines, each with file and line, and the same as a document with --json."""
    job = tmp_path / "job"
    shutil.copytree(GRANARY, job)
    found = job / "found.toml"
    found.write_text(found.read_text().replace("fuse_a = { marked = 60 }", "fuse_a = { marked = nan }"))
    (job / "kit.toml").write_text("[kit]\ntester-2 = { wat = 'x' }\n")
    done = typed("check", job)
    assert (done.exit_code, done.stdout) == (2, "")
    lines = done.stderr.splitlines()
    assert len(lines) == 2
    assert all(re.match(r"(found|kit)\.toml:\d+: ", line) for line in lines)
    code, said = document("check", job)
    assert code == 2
    assert [(f["file"], f["line"] is not None) for f in said["faults"]] == [("found.toml", True), ("kit.toml", True)]


@pytest.mark.parametrize(("name", "bytes_"), [("a.zip", b"no zip at all"), ("b.zip", b"")])
def test_a_broken_zip_is_refused(tmp_path: Path, name: str, bytes_: bytes) -> None:
    (tmp_path / name).write_bytes(bytes_)
    done = typed("check", tmp_path / name)
    assert done.exit_code == 2
    assert len(done.stderr.splitlines()) == 1


def test_a_job_that_is_not_there_names_the_nearest() -> None:
    done = typed("check", WEIR.parent / "weir-cotage")
    assert done.exit_code == 2
    assert "there is no such job" in done.stderr
    assert "did you mean weir-cottage?" in done.stderr


def test_a_job_file_cannot_steer_the_terminal(tmp_path: Path) -> None:
    """Escape sequences in a job's texts reach neither page nor faults."""
    (tmp_path / "job.toml").write_text('schema = 1\nsays = "a\\u001b[2Jb"\nbooks = { bs7671 = "2018+A4" }\n')
    (tmp_path / "found.toml").write_text("")
    done = typed("check", tmp_path)
    assert "\x1b" not in done.stdout + done.stderr
    (tmp_path / "found.toml").write_text('equipment."x\\u001b[2J" = 5\n')
    done = typed("check", tmp_path)
    assert done.exit_code == 2
    assert "\x1b" not in done.stdout + done.stderr


# ---- isolate, live --------------------------------------------------------------------------------------------------
def test_the_surge_modules_the_right_way_round_and_the_wrong() -> None:
    """SCENARIOS, Granary Yard, surge cabinet: that one switch; fed at the other end, none."""
    code, said = document("isolate", GRANARY, "isolator.surge", "--as", "skilled")
    assert (code, said["lock_off"]) == (0, ["isolator.switch"])
    assert ["isolator.top.L", "line"] in said["still"]
    code, said = document("isolate", GRANARY, "isolator.surge", "--with", WRONG_END)
    assert (code, said["lock_off"]) == (0, None)
    assert dict(said["still"])["isolator.surge.L"] == "line"
    page = typed("isolate", GRANARY, "isolator.surge", "--with", WRONG_END).stdout
    assert page.startswith("None.")
    assert "Do not work on it." in page


def test_a_borrowed_neutral_lifted_is_live_through_the_lamp() -> None:
    """SCENARIOS, Weir Cottage: the first-floor lighting neutral, once lifted, is live through the landing lamp."""
    said = document("live", WEIR, "--stage", "found", "--lift", "lights-first.N")[1]
    assert said["lifted"] == ["lights-first.N"]
    assert said["terminals"]["lights-ground.landing.N"] == "line through a load"
    assert "line through a load" in typed("live", WEIR, "--stage", "found", "--lift", "lights-first.N").stdout


def test_what_closes_by_itself_never_counts_as_off() -> None:
    """Opening the inverter's own contact changes nothing, and the page says why."""
    closed = document("live", RIDGE, "--stage", "found")[1]
    opened = document("live", RIDGE, "--stage", "found", "--open", "pv.loss-of-mains")[1]
    assert opened["never counts as off"] == ["pv.loss-of-mains"]
    assert opened["terminals"] == closed["terminals"]
    page = typed("live", RIDGE, "--stage", "found", "--open", "pv.loss-of-mains").stdout
    assert "never counts as off" in page


def test_a_permission_in_the_record_is_named_where_it_is_used() -> None:
    """The service fuse is opened only because the record holds a permission, and the page says so."""
    _code, said = document("check", RIDGE)
    assert said["live"]["by_permission"] == ["cutout.fuse"]
    assert "cutout.fuse by permission" in typed("check", RIDGE).stdout
    assert document("check", GRANARY)[1]["live"]["by_permission"] == []
    said = document("isolate", RIDGE, "meter.in.L", "--as", "skilled")[1]
    assert [c for c in said["by_permission"] if c in (said["lock_off"] or ())] == said["by_permission"]


@pytest.mark.parametrize(("words", "near"), [(("isolate", WEIR, "cookr"), "did you mean cooker?"),
                                            (("live", WEIR, "--open", "bord.switch"), "did you mean board.switch?"),
                                            (("live", WEIR, "--lift", "lights-frst.N"), "did you mean lights-first.N?")])
def test_a_misspelt_name_names_the_nearest(words: tuple[object, ...], near: str) -> None:
    done = typed(*words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert near in done.stderr


# ---- changes, explain, schema, doctor -------------------------------------------------------------------------------
def test_changes_say_what_the_work_does_and_where() -> None:
    """Both old boards go, a board comes, and each line names its places."""
    said = document("changes", WEIR)[1]
    assert (said["from"], said["to"]) == ("found", "proposed")
    did = {(c["how"], c["address"]) for c in said["changes"]}
    assert {("removed", "equipment.house"), ("removed", "equipment.office"), ("added", "equipment.board")} <= did
    page = typed("changes", WEIR).stdout
    assert too_long(page) == []
    assert page.index("Removed:") < page.index("Added:")
    assert all(change["address"] in page for change in said["changes"])


def test_changes_with_an_overlay_and_without_any() -> None:
    """What is laid over counts as work; a stage against itself differs in nothing."""
    said = document("changes", GRANARY, "--from", "fitted", "--with", WRONG_END)[1]
    assert {c["address"] for c in said["changes"]} == {"supplies.main", "runs.tails-2", "runs.riser"}
    assert "nothing differs" in typed("changes", GRANARY, "--from", "fitted").stdout
    assert typed("changes", WEIR, "--to", "fitted").exit_code == 2


def test_every_rule_explains_itself() -> None:
    """By code in any case and by name; the whole list names each once."""
    rules = explain()["rules"]
    page = typed("explain").stdout
    assert too_long(page) == []
    for rule in rules:
        assert len(re.findall(rf"^  {rule['rule']} ", page, re.MULTILINE)) == 1
        one = typed("explain", rule["rule"].lower()).stdout
        assert one == typed("explain", rule["name"]).stdout
        assert too_long(one) == []
        assert " ".join(rule["remedial"].split()) in " ".join(one.split())
    done = typed("explain", "XX1")
    assert (done.exit_code, done.stdout) == (2, "")


def test_schema_lists_prints_and_refuses() -> None:
    assert "found.toml" in typed("schema").stdout
    code, said = document("schema", "found.toml")
    assert (code, said["$schema"]) == (0, "https://json-schema.org/draft/2020-12/schema")
    done = typed("schema", "fond.toml")
    assert (done.exit_code, done.stderr) == \
        (2, 'command line: schema: there is no schema of "fond.toml"; did you mean found.toml?\n')
    assert typed("schema", "qqqqqqqq").exit_code == 2


def test_schema_says_what_every_other_file_holds() -> None:
    """Rows by their columns, with the words that may stand in one; a mapping and a firm's operators as they are read."""
    assert document("schema", "operators.toml")[1]["properties"]["operators"]["additionalProperties"]["$ref"].endswith("/Operator")
    rows = document("schema", "readings.csv")[1]["items"]
    assert list(rows["properties"]) == list(header(Reading))
    assert rows["required"] == ["id", "stage", "quantity", "a", "by", "at"]
    assert rows["properties"]["stage"]["enum"] == list(STAGES)
    assert document("schema", "logs/week.csv")[1]["items"]["required"] == ["at", "current_a"]
    mapping = document("schema", "mapping.toml")[1]
    assert tuple(mapping["properties"]) == TOP
    assert tuple(mapping["$defs"]["PlaceColumn"]["properties"]) == OF_PLACE
    assert tuple(mapping["$defs"]["ReadingColumn"]["properties"]) == OF_READING
    listed = typed("schema").stdout
    for file in ("mapping.toml", "operators.toml", "logs/NAME.csv", *ROW_FILES):
        assert file in listed
        assert document("schema", file)[0] == 0
    assert typed("schema", "logs.csv").exit_code == 2


def test_doctor_tells_what_is_here_and_what_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    """With nothing on the path the programs are lacking, a line each, with how to put them in; that is no fault."""
    monkeypatch.setenv("PATH", os.devnull)
    done = typed("doctor")
    assert done.exit_code == 0
    assert too_long(done.stdout) == []
    assert re.search(r"^lacks +node +for ", done.stdout, re.MULTILINE)
    assert "apt-get install nodejs" in " ".join(done.stdout.split())
    assert re.search(r"^here +click \d", done.stdout, re.MULTILINE)
    said = document.__wrapped__("doctor")[1]            # not the answer of another path
    assert {"node", "npm", "make", "git"} <= set(said["lacks"])
    assert said["lacks"] == [need["what"] for need in said["needs"] if not need["here"]]


def test_a_program_that_does_not_answer_is_still_here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A node that fails when asked for its version is listed without one."""
    broken = tmp_path / "node"
    broken.write_text("#!/bin/sh\nexit 3\n")
    broken.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path))
    need = next(n for n in document.__wrapped__("doctor")[1]["needs"] if n["what"] == "node")
    assert (need["here"], need["version"]) == (True, "")


def test_a_file_of_a_job_is_no_job_and_the_folder_is_named() -> None:
    done = typed("check", WEIR / "found.toml")
    assert (done.exit_code, done.stdout) == (2, "")
    assert done.stderr.endswith(f"found.toml: is one file, and a job is a folder of them; name the folder: {WEIR}\n")


def test_a_circuit_is_opened_by_what_stands_in_its_way() -> None:
    done = typed("live", WEIR, "--stage", "proposed", "--open", "cooker")
    assert (done.exit_code, done.stdout) == (2, "")
    name = done.stderr.partition("circuit cooker is opened by ")[2].strip()
    assert done.stderr == f'command line: open: nothing to open is called "cooker"; circuit cooker is opened by {name}\n'
    assert typed("live", WEIR, "--stage", "proposed", "--open", name).exit_code == 0
