"""The survey report: what it must say, what it must never say, where its figures come from, what kind of file it is."""
from __future__ import annotations

import json
import math
import re
from io import BytesIO
from pathlib import Path
from zipfile import ZipFile

import pytest
from click.testing import CliRunner

from spareway import api, bundled
from spareway.api import check, survey_report, to_json
from spareway.cli.verbs import spareway
from spareway.doc import InputError
from spareway.job.job import read_job
from spareway.papers import record
from spareway.papers.report import facts_for
from spareway.press.typst import MM_A_UNIT, parts_mm, report, tall_mm
from spareway.rules import all_rules
from spareway.rules.base import judge
from spareway.rules.eyes import items
from spareway.rules.grouped import code_of
from spareway.rules.specimen import with_example
from tests.papers.fields import job
from tests.papers.made import ALL, EXAMPLES, checked, drawn, facts, made, reader, said, texts, words
from tests.papers.never import NEVER, found_in, printed
from tests.papers.overlays import overlays

SPECIMEN = {"job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\nnation = "England"\ndates.survey = "2026-11-09"\n',
            "found.toml": bundled.text("rules/specimen.toml")}
# what it owes its reader: the cautions of those we build for
MUST = ("This is a check of what was recorded. Prove dead at the point of work, every time.",
        "Neutral may be joined to the network when line is off.",
        "Ask the network operator; do not withdraw the fuse without their leave.", "Asbestos: stop, do not disturb.",
        "Book demand, not load", "Spare way, not spare capacity", "Codes and signatures are the inspector's.",
        "The regulations in force, the network operator and a competent, licensed person decide.",
        "draft, not issued", "Made as PDF/A-3a and UA-1, not validated.", "a person’s, never the program’s")


@pytest.mark.parametrize("never", NEVER)
def test_the_sentence_that_may_not_stand_there_is_caught(never: str) -> None:
    """Otherwise the search below could find nothing."""
    pattern, planted = NEVER[never]
    assert re.search(pattern, planted)
    assert never in {name for name, _ in found_in(planted)}


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_words_that_may_never_stand_in_it(name: str, stage: str) -> None:
    """No page of any example at any stage holds their like."""
    assert found_in(said(name, stage)) == []


@pytest.mark.parametrize(("name", "many"), [("specimen", 150), ("ridge-annexe", 30), ("granary-yard", 15), ("weir-cottage", 5)])
def test_nor_in_that_of_any_job_near_it(name: str, many: int) -> None:
    """Two hundred changes at random: none makes it say what it may not, none stops it, and every caution stays."""
    files = SPECIMEN if name == "specimen" else texts(name)
    rules = {rule["rule"]: rule for rule in api.explain()["rules"]}
    owed = [*api.CAUTION, api.NEUTRAL, *record.MUST]
    told, verdicts = 0, set()
    with api.no_collector():
        for overlay in overlays(read_job(files).at(None).doc.data, many):
            try:
                judged = api._judged(files, None, [("overlay.toml", overlay)])
            except InputError:
                continue                                                   # no job any more
            document = api._document(*judged, full=False)
            filled = facts_for(*judged, document, rules)
            assert found_in("\n".join(printed(filled))) == [], overlay
            assert [line for line in owed if line not in filled["cautions"]] == [], overlay
            verdicts |= {finding["verdict"] for finding in document["findings"]}
            told += 1
            if told == many:
                break
    assert verdicts >= {"fails", "unknown", "advice", "within"}


def test_nor_in_what_any_rule_says_of_its_own_examples() -> None:
    """Each rule, kept and broken: its sentence, its reason, its remedy, and every finding on the home it shows them on."""
    for rule in all_rules():
        for heading in ("Fires on", "Passes on"):
            for finding in judge(with_example(rule.headings[heading]), (rule,)):
                assert found_in(f"{finding.says}\n{finding.remedial}") == [], rule.code
        assert found_in(f"{rule.says}\n{rule.headings['Why']}\n{rule.headings['Remedial']}") == [], rule.code
    for item in items():
        assert found_in(f"{item.says}\n{item.look}") == [], item.code


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_what_was_asked_of_eyes(name: str, stage: str) -> None:
    """Each answer stands in the report with who gave it; each thing nobody has answered is named among the limits."""
    by_eye, text = checked(name, stage)["by_eye"], said(name, stage)
    for row in by_eye["answered"]:
        assert row["says"] in text, row["eye"]
    limits = text.partition("Not looked at, or nobody wrote it down")[2]
    open_items = " ".join(topic["items"] for topic in facts(name, stage)["looked"]["open"])
    for row in by_eye["unknown"]:
        assert f"{row['eye']} {row['says']}" in open_items
        assert f"{row['eye']} " in limits, "printed too, though a page may end within its sentence"
    assert len(by_eye["unknown"]) + len({row["eye"] for row in by_eye["answered"] if row["answer"] != "not seen"}) == by_eye["items"]


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_what_it_owes_its_reader(name: str, stage: str) -> None:
    """Every caution stands in every report, and so does each rule that has something to say, with its clause."""
    text = said(name, stage)
    assert [caution for caution in MUST if caution not in text] == []
    for finding in checked(name, stage)["findings"]:
        if finding["verdict"] in ("stop", "fails", "unknown", "advice"):
            assert f"{code_of(finding)}: {finding['clause'] or 'no clause'}" in text, finding["rule"]
            assert code_of(finding) == finding["rule"] or f"{finding['rule']}: " in text, "what a person coded, by the name of its row"


@pytest.mark.parametrize(("name", "stage"), ALL)
def test_every_finding_is_told_in_the_words_of_the_check(name: str, stage: str) -> None:
    """A report formats and never computes: title, pieces and common sentences give back what the rule said."""
    for finding in checked(name, stage)["findings"]:
        if finding["verdict"] not in ("stop", "fails", "advice"):
            continue
        groups = [g for g in facts(name, stage)["groups"][finding["verdict"]] if g["code"] == code_of(finding)]
        assert len(groups) == 1
        told = [f"{groups[0]['title']} {''.join(p['t'] for p in row['says'])} {groups[0]['common']}" for row in groups[0]["rows"]
                if f"{finding['subject']} [{finding['where']}]" in row["where"]]
        assert len(told) == 1
        assert [s for s in finding["says"].split(". ") if s.rstrip(".").removeprefix("Seen: ") not in told[0]] == []


def test_reading_is_told_with_who_when_and_with_what() -> None:
    """Ze of the cottage as readings.csv has it: by whom, at what time, instrument with its serial number, temperature."""
    assert "measured by surveyor, 9 November 2026, 09:40; tester-1 serial 0042; 12 °C; declared 0.8 Ω" in said("weir-cottage", "found")


def test_first_page_answers_what_to_make_safe_what_fails_and_what_is_not_known() -> None:
    """The bare contacts of the cottage's board, with what to do, before anything else (codes row C1 of the scenario)."""
    first = " ".join(reader(made("weir-cottage", "found")).pages[0].extract_text().split())
    order = ("Two must be made safe now", "Stop. Bare contacts that are live, or may be, lie within reach", "What fails", "What is not known",
             "Prove dead at the point of work", "Spare way, not spare capacity.")
    places = [first.find(words) for words in order]
    assert places == sorted(places)
    assert -1 not in places
    for group in facts("weir-cottage", "found")["groups"]["fails"]:
        assert group["title"] in first


def test_what_is_proposed_makes_nothing_safe_today() -> None:
    """The new board has no bare contacts; the one on the wall has, until it is out: page one says so before anything else."""
    assert checked("weir-cottage", "proposed")["counts"]["stop"] == 0
    first = " ".join(reader(made("weir-cottage", "proposed")).pages[0].extract_text().split())
    assert first.index("As found, and until the work is done: Stop. Bare contacts") < first.index("What fails")
    assert "nothing that this record shows" not in said("weir-cottage", "proposed")
    assert facts("weir-cottage", "found")["today"] == facts("granary-yard", "proposed")["today"] == []


def test_what_was_taken_out_keeps_its_name() -> None:
    """As it was called when it was found, never by its address."""
    named = [row["where"] for row in facts("weir-cottage", "proposed")["seen"]]
    assert named[0] == "house, pantry"
    assert not [where for where in named if where.startswith(("equipment.", "circuits.", "runs."))]


def test_a_record_without_a_stop_says_so_and_calls_nothing_good() -> None:
    first = " ".join(reader(made("granary-yard", "found")).pages[0].extract_text().split())
    assert "nothing that this record shows. What is not recorded was not judged." in first


def test_it_is_no_longer_than_a_person_reads() -> None:
    """The cottage on fifteen pages, two lines on the last; with half the rules they were nineteen when each finding stood by itself, and twelve in groups."""
    assert len(reader(made("weir-cottage", "found")).pages) <= 15


def test_unknown_is_never_good_news() -> None:
    """With its Ze taken out the supply is not known; with a declared one only it is called a stated maximum."""
    files = dict(texts("weir-cottage"))
    files["readings.csv"] = "\n".join(line for line in files["readings.csv"].splitlines() if ",ze_ohm," not in line)
    declared = survey_report(files, "found")["facts"]["supply"][1]
    assert declared["a"] == [{"t": "0.8 Ω", "g": "one"}]
    assert declared["how"].endswith("Stated maximum, not measured.")
    files["found.toml"] = files["found.toml"].replace("ze_ohm   = { declared = 0.8 }", "")
    assert survey_report(files, "found")["facts"]["supply"][1]["a"] == [{"t": "not known", "g": "none"}]


def test_a_short_list_names_the_rules_that_ran_and_what_nobody_looked_at() -> None:
    """The home that keeps every rule: no fail, no stop, and yet nothing reads as clean."""
    text = words(report(SPECIMEN))
    filled = survey_report(SPECIMEN)["facts"]
    assert filled["groups"]["stop"] == filled["groups"]["fails"] == []
    ran = filled["ran"]["run"].split(", ")
    assert f"Rules that ran: {len(ran)} of {len(all_rules())} ({', '.join(ran)})." in text
    assert "What is not recorded was not judged." in text
    assert f"Of {len(items())} things that only a person can see, it is not known whether:" in text


def test_limit_from_memory_and_stated_maximum_are_said_where_they_hold() -> None:
    """A limit that nobody confirmed by the words of those we build for; Ze declared and not measured; each only then."""
    memory = "Limit from memory / not confirmed in this edition"
    for name, stage in ALL:
        loose = any(source["q"].startswith(memory) for source in facts(name, stage)["sources"])
        assert loose is (memory in said(name, stage)), (name, stage)
    assert memory in said("weir-cottage", "found")
    declared = {**SPECIMEN, "found.toml": re.sub(r"(?m)^ze_ohm\s*=.*$", "ze_ohm = { declared = 0.8 }", SPECIMEN["found.toml"])}
    assert declared != SPECIMEN
    for files, owed in ((declared, True), (texts("weir-cottage"), False)):
        cautions = survey_report(files, "found")["facts"]["cautions"]
        assert ("Stated maximum, not measured: the loop outside." in cautions) is owed


def test_each_reading_is_recorded_by_somebody_with_something() -> None:
    """Recorded by whom, at what time, with which serial number, at how many degrees; what is not written down is said to be so."""
    text = said("weir-cottage", "found")
    assert "recorded by surveyor, 9 November 2026; tester-1 serial 0042; 12 °C" in text
    for day in facts("weir-cottage", "found")["readings"]:
        assert all(re.fullmatch(r"\d\d:\d\d", row["clock"]) and row["clock"] in text for row in day["rows"])
    bare = job({("kit.toml", "kit.tester.serial"): ""})
    bare["kit.toml"] = "[kit]\n"
    bare["readings.csv"] = bare["readings.csv"].replace(",tester,", ",,")
    [day] = survey_report(bare, "found")["facts"]["readings"]
    assert day["how"].endswith("instrument not recorded; temperature not recorded")


def test_no_reading_is_made_up() -> None:
    """Without readings.csv the report has none, and no word of an instrument."""
    files = {name: text for name, text in texts("granary-yard").items() if name != "readings.csv"}
    assert survey_report(files, "found")["facts"]["readings"] == []


# ---- the file -------------------------------------------------------------------------------------------------------
def test_same_job_same_bytes() -> None:
    """Typeset twice, in two folders of its own: not one byte differs."""
    assert report(texts("granary-yard"), "found") == made("granary-yard", "found")


def test_it_is_tagged_and_says_what_it_is() -> None:
    """PDF/A-3a and UA-1 by its own metadata, tagged, with its language, its title and the job's own day."""
    pdf = reader(made("granary-yard", "fitted"))
    metadata = bytes(pdf.trailer["/Root"]["/Metadata"].get_object().get_data()).decode()
    for part in ("<pdfaid:part>3<", "<pdfaid:conformance>A<", "<pdfuaid:part>1<"):
        assert part in metadata
    assert pdf.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert pdf.trailer["/Root"]["/Lang"] == "en-GB"
    assert str(pdf.metadata["/CreationDate"]).startswith("D:20270202")        # dates.test of the example
    fonts = {font["/BaseFont"].partition("+")[2] for page in pdf.pages
             for font in (each.get_object() for each in page["/Resources"]["/Font"].values())}
    assert fonts == {"LiberationSans", "LiberationSans-Bold"}


def test_job_and_check_are_attached() -> None:
    """check.json is the check to the byte; job.zip holds the files it was made from and not the names of people."""
    pdf = reader(made("granary-yard", "fitted"))
    names = pdf.trailer["/Root"]["/AF"]
    assert {each.get_object()["/AFRelationship"] for each in names} == {"/Source"}
    assert pdf.attachments["check.json"][0].decode() == to_json(check(texts("granary-yard"), "fitted", full=True))
    with ZipFile(BytesIO(pdf.attachments["job.zip"][0])) as zipped:
        held = {name: zipped.read(name).decode() for name in zipped.namelist()}
    assert held == {name: text for name, text in texts("granary-yard").items() if name != "people.toml"}


def test_drawing_is_a_picture_with_words() -> None:
    """Each part of the intake drawing has an alternative text; the first says which terminals stay live."""
    alts = [str(node["/Alt"]) for node in _objects(made("granary-yard", "fitted")) if isinstance(node, dict) and "/Alt" in node]
    assert any("line: cutout.in L" in alt for alt in alts)


def _objects(data: bytes) -> list[object]:
    pdf = reader(data)
    return [pdf.get_object(number) for number in range(1, int(pdf.trailer["/Size"]))]


# ---- what it is asked with ------------------------------------------------------------------------------------------
def test_paper_without_a_day_is_refused() -> None:
    """A paper carries a day of the job's own, never today's; one that is no date is named with what was read."""
    files = dict(texts("weir-cottage"))
    for dates, says in (("{}", "the job states none for found"), ('{ survey = "soon" }', '"soon" is no date')):
        files["job.toml"] = re.sub(r"(?m)^dates .*$", f"dates = {dates}", texts("weir-cottage")["job.toml"])
        with pytest.raises(InputError, match=says):
            report(files, "found")


def test_the_verb_writes_it(tmp_path: Path) -> None:
    """`papers` makes the folder, writes the paper of the stage asked for with its overlay, and says it is a draft."""
    done = CliRunner().invoke(spareway, ["papers", str(EXAMPLES / "granary-yard"), "--out", str(tmp_path / "new"), "--stage", "found"],
                              catch_exceptions=False)
    assert done.exit_code == 0
    assert (tmp_path / "new" / "survey-report-found.pdf").read_bytes() == made("granary-yard", "found")
    assert "Draft, not issued." in done.stdout
    wrong = CliRunner().invoke(spareway, ["papers", str(EXAMPLES / "granary-yard"), "--out", str(tmp_path / "wrong"),
                                          "--with", str(EXAMPLES / "granary-yard" / "wrong-end.toml")], catch_exceptions=False)
    assert wrong.exit_code == 0
    pdf = reader((tmp_path / "wrong" / "survey-report-fitted.pdf").read_bytes())
    with ZipFile(BytesIO(pdf.attachments["job.zip"][0])) as zipped:
        assert "laid-over/1-wrong-end.toml" in zipped.namelist()
    assert json.loads(pdf.attachments["check.json"][0])["verdict"] == "fails"         # unknown without the overlay


def test_folder_that_cannot_be_written_to(tmp_path: Path) -> None:
    """A file stands where the folder should be: exit 2 and one line that names it."""
    (tmp_path / "taken").write_text("")
    done = CliRunner().invoke(spareway, ["papers", str(EXAMPLES / "granary-yard"), "--out", str(tmp_path / "taken"), "--stage", "found"],
                              catch_exceptions=False)
    assert done.exit_code == 2
    assert "cannot be written" in done.stderr


def test_a_drawing_that_goes_on_is_cut_between_things() -> None:
    """By a second reading of the drawing: no frame of a thing lies across a cut, the parts together are the whole, none is taller than a page."""
    seen = 0
    for name, stage in ALL:
        drawing = drawn(name, stage)
        top = float(drawing.partition('viewBox="')[2].split()[1])
        frames = [(float(y) - top, float(y) - top + float(tall)) for y, tall in re.findall(
            r'<g class="thing" transform="translate\([-0-9.]+ ([-0-9.]+)\)"><title>[^<]*</title><rect class="frame" x="0" y="0" width="[0-9.]+" height="([0-9.]+)"', drawing)]
        assert frames, name
        parts = parts_mm(drawing)
        assert math.isclose(math.fsum(part["tall_mm"] for part in parts), tall_mm(drawing), abs_tol=0.05), name
        assert all(0 < part["tall_mm"] <= 246 for part in parts)
        for cut in (part["from_mm"] / MM_A_UNIT for part in parts[1:]):
            seen += 1
            assert not [each for each in frames if each[0] < cut < each[1]], (name, cut)
    assert seen >= 2
    wall = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 1500"><rect x="0" y="0" width="10" height="1500"/></svg>'
    assert parts_mm(wall) == [{"from_mm": 0, "tall_mm": 246}, {"from_mm": 238, "tall_mm": 212}], "no gap: a little of it twice"
