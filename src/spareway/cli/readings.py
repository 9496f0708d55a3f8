"""`spareway readings`: each reading against what it should have been, the faults that explain them, what to read next."""
from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from spareway.cli.arguments import Verb, job_argument, json_option, open_job, overlay_option, stage_option
from spareway.cli.layout import counted, out, out_json, paragraph
from spareway.cli.verbs import BAD_INPUT
from spareway.show import exact, show

__all__ = ["command"]

Said = Mapping[str, Any]
SHOWN = 5                                       # of several that these readings do not tell apart
CONDUCTORS = ("ring_", "leg_", "r1")             # of other rows nobody expects that they are weighed with these
BODY, UNDER = 2, 4
FIRST_DEAD = ("Locked off and proved dead before anything is opened or lifted; nobody at it while it is tested; surge devices "
              "and electronics out.")
WEIGHTS = ("The shares rest on how often each fault is met: common practice, no source. They say what to look at first, and "
           "prove nothing: open the place and look, locked off and proved dead there.")


def _circuit(circuit: Said, whole: bool, stage: str) -> list[str]:
    """whole: every row, and not only those that lie outside what they should be; stage: one of another says so."""
    says = f", {circuit['says']}" if circuit["says"] and circuit["says"] != circuit["name"] else ""
    lines = [*paragraph(f"{circuit['name']}{says}:"), *_rows(circuit, whole, stage), *_faults(circuit)]
    return lines + (_open(circuit) if whole else [])


def _foreseen(files: dict[str, str], laid: list[tuple[str, str]], name: str, stage: str | None) -> list[str]:
    """What each reading of the usual test that was not taken should be: for the eyes of a supervisor."""
    from spareway.api_readings import foreseen
    from spareway.design.design import Design
    from spareway.job.job import read_job
    from spareway.survey.readings import dead_tests
    job = read_job(files, laid, stage)
    design = Design(job.at(stage))
    lines = ["", *paragraph("For a supervisor, of what was not read yet:")]
    for test in dead_tests(job, name, stage):
        if not test.kept:
            told = foreseen(design, test.quantity, test.a, test.b, test.setup, None)
            lines += paragraph(f"{test.says}: {told}", BODY, UNDER)
    return lines


def _open(circuit: Said) -> list[str]:
    """What a pass of the tests that were done leaves open."""
    lines = []
    for test in circuit["leaves_open"]:
        lines += paragraph(f"{test['test'].replace('-', ' ')}: a pass shows that {test['shows']}. It does not prove", BODY, UNDER)
        for each in test["open"]:
            settled = f"Settled by {each['settled_by']}. ({each['source']})"
            lines += paragraph(f"{each['says']}: {each['why']}. {settled}", UNDER, UNDER + 4)
    return lines


def _rows(circuit: Said, whole: bool, stage: str) -> list[str]:
    from spareway.api_readings import fell_words
    rows = circuit["read"]
    odd = [row for row in rows if row["fell"] not in ("as expected", "")]
    lines = paragraph(_counted(rows, odd), BODY, UNDER)
    for row in rows if whole else odd:
        then = f", {row['stage']}" if row["stage"] != stage else ""
        lines += paragraph(f"{row['says']} ({row['where']}{then}): {row['read']}; {fell_words(row)}", UNDER, UNDER + 4)
    for asks in circuit["asks"]:
        lines += paragraph(f"A question ({asks['where']}): {asks['says']}.", BODY, UNDER)
    return lines


def _counted(rows: Sequence[Said], odd: Sequence[Said]) -> str:
    if not rows:
        return "nothing was read of it."
    known = [row for row in rows if row["expected"] is not None]
    untold = "" if len(known) == len(rows) else f"; of {counted(len(known), '')}the record tells what it should have been"
    outside = counted(len(odd), "not as expected", "not as expected") if odd else "none lies outside what is to be expected"
    return f"{counted(len(rows), 'reading')}{untold}; {outside}."


def _faults(circuit: Said) -> list[str]:
    from spareway.api_readings import SURE, in_a_hundred
    if circuit["why_not"]:
        return paragraph(f"no fault is sought: {circuit['why_not']}", BODY, UNDER)
    lines = paragraph(f"{counted(len(circuit['taken']), 'reading')} weighed together.", BODY, UNDER)
    first = circuit["faults"][0]
    if first["share"] < SURE or first["kind"] == "several":
        lines += paragraph(circuit["headline"], BODY, UNDER)
    for fault in circuit["faults"][:SHOWN]:
        lines += paragraph(f"{in_a_hundred(fault['share'])}: {fault['says']}", UNDER, UNDER + 4)
    for row in (row for row in circuit["left_out"] if row["quantity"].startswith(CONDUCTORS)):
        lines += paragraph(f"not weighed: {row['where']}, {row['quantity']}: {row['why']}", BODY, UNDER)
    return lines + (_next(circuit) if first["share"] < SURE else [])


def _intake(faults: Sequence[Said]) -> list[str]:
    """What may be wrong at the intake or across the board, where a sign of it was read."""
    from spareway.api_readings import in_a_hundred
    lines = ["", *paragraph("Intake and board, by the signs that were read:")] if faults else []
    shown = [f for f in faults if f["is_a_fault"] and any(sign["there"] for sign in f["signs"])]
    if faults and not shown:
        lines += paragraph("no sign that was read points to a fault; that is no pass", BODY, UNDER)
    for fault in shown:
        lines += paragraph(f"{in_a_hundred(fault['share'])}: {fault['says']}", BODY, UNDER)
        for sign in (sign for sign in fault["signs"] if sign["there"]):
            lines += paragraph(f"{sign['says']} ({', '.join(sign['where'])})", UNDER, UNDER + 2)
        lines += paragraph(fault["caution"], UNDER, UNDER + 2) if fault["caution"] else []
    for rest in (f for f in faults if shown and not f["is_a_fault"]):
        lines += paragraph(f"none of these faults: {in_a_hundred(rest['share'])}; that is no pass", BODY, UNDER)
    ask = dict.fromkeys(each for fault in faults for each in fault["ask"])
    return [*lines, *(line for each in ask for line in paragraph(f"Not read, and it would tell: {each}", BODY, UNDER))]


def _insulation(of: Said, stage: str) -> list[str]:
    """The sum of what was read circuit by circuit, what to take out first, and the questions that tell why; of which stage."""
    if of["sum_mohm"] is None:
        return []
    least = "at least " if of["at_least"] else ""
    then = f", as {of['stage']}" if of["stage"] != stage else ""
    lines = ["", *paragraph(f"Insulation, circuit by circuit{then}:"),
             *paragraph(f"together {least}{show(of['sum_mohm'])} MΩ, to earth; line to neutral is not in it.", BODY, UNDER)]
    for word, part in zip(("Take out first", *["Then"] * len(of["take_out"])), of["take_out"], strict=False):
        what = f"what {part['circuit']} feeds" if part["only_loads"] else part["circuit"]
        rest = "nothing is left" if part["then_mohm"] is None else f"the rest comes to {show(part['then_mohm'])} MΩ"
        low = "" if part["enough"] or part["then_mohm"] is None else ", still low"
        lines += paragraph(f"{word} {what}, {exact(part['was_mohm'])} MΩ: {rest}{low}.", BODY, UNDER)
    if of["low"]:
        lines += paragraph(FIRST_DEAD, BODY, UNDER)
    for each in of["low"]:
        for cause in each["causes"][:2]:
            lines += paragraph(f"{each['circuit']}: {cause['says']}? {cause['question']}", UNDER, UNDER + 4)
    if of["not_read"]:
        lines += paragraph(f"Not read, and not in the sum: {', '.join(of['not_read'])}.", BODY, UNDER)
    return lines


def _hunt(boards: Sequence[Said]) -> list[str]:
    """What leaks on each board, and the insulation reading to take next."""
    lines = []
    for each in boards:
        if each["everywhere"]:
            lines += paragraph(f"{each['board']}: all of it leaks a little, and no circuit of it alone.", BODY, UNDER)
        if each["found"]:
            lines += paragraph(f"{each['board']}: what leaks, by these readings: {', '.join(each['found'])}.", BODY, UNDER)
        if each["next"] is not None:
            lines += paragraph(f"Read next (about {each['next']['minutes']:g} min). {each['next']['says']}", BODY, UNDER)
    return lines


def _neutrals(pairs: Sequence[Said]) -> list[str]:
    """Neutrals of two circuits: joined or not, and whether a device would give it away."""
    from spareway.readings.borrowed import PROOF
    lines = ["", *paragraph("Neutrals of two circuits:")] if pairs else []
    for each in pairs:
        told = [each["proof"], each["trips"], *each["lamps"]]
        lines += paragraph(f"{each['one']} and {each['other']}: {'; '.join(filter(None, told))}.", BODY, UNDER)
    return [*lines, *(line for says in PROOF if pairs for line in paragraph(says, UNDER, UNDER + 2))]


def _neat(sets: Sequence[Said]) -> list[str]:
    lines = ["", *paragraph("A question to whoever read them, that accuses nobody:")] if sets else []
    for each in sets:
        lines += paragraph(f"{each['says']} ({', '.join(each['where'])})", BODY, UNDER)
    return lines


def _again(repairs: Sequence[Said]) -> list[str]:
    """Repairs after which something is still to be read again."""
    lines = []
    for each in repairs:
        tests, unread, unsure = (", ".join(each[key]).replace("-", " ") for key in ("missing", "unread", "unsure"))
        told = [f"not read again since: {tests}"] if tests else []
        told += [f"read that day, but the hour is not recorded: {unsure}"] if unsure else []
        told += [f"no reading tells of these, a person answers for them: {unread}"] if unread else []
        if told:
            repair = f"{each['says']}, {each['at']}, {each['when']} ({each['where']})"
            lines += ["", *paragraph(f"{repair}: {'; '.join(told)}. {each['source']}")]
    return lines


def _since(changed: Sequence[Said]) -> list[str]:
    """What has moved since, for the worse first; the rest is counted."""
    moved = [each for each in changed if each["fell"] != "as before"]
    have = counted(len(moved), "has moved", "have moved") if moved else "none has moved"
    moved_by = "beyond what instruments hide and a tenth, or cannot be told"
    says = f"{counted(len(changed), 'reading')} taken then too; {have} {moved_by}"
    lines = ["", *paragraph(f"{says}{':' if moved else '.'}")]
    for each in moved:
        worse = ", for the worse" if each["worse"] else ""
        lines += paragraph(f"{each['says']} ({each['where']}){worse}.", BODY, UNDER)
    return lines


def _todo(of: Said) -> list[str]:
    """What to find out next, with what it decides."""
    if not of["next"]:
        return ["", "Nothing is unknown that something more would decide."]
    lines = ["", *paragraph(f"Next over the whole job, by what it decides a minute (minutes: common practice, no source); "
                            f"{counted(of['unknown'], 'finding')} unknown:")]
    for number, each in enumerate(of["next"], 1):
        decides = counted(len(each["decides"]), "finding")
        note = "; the record has no place for the answer" if each["no_place_in_the_record"] else ""
        lines += paragraph(f"{number}. {each['says']} (about {each['minutes']:g} min, decides {decides}{note})", BODY, BODY + 3)
    return lines


def _next(circuit: Said) -> list[str]:
    """The reading to take next, and what else tells much a minute."""
    lines = []
    for word, each in zip(("Read next", "or", "or"), circuit["next"], strict=False):
        lines += paragraph(f"{word}, locked off and proved dead: {each['says']} (about {each['minutes']:g} min)", BODY, UNDER)
    return lines


def _take(job: Path, written_in: Path, mapping: Path | None) -> int:
    """Brings the readings of a plain CSV into readings.csv; a line with a fault adds nothing and is told. Errors: InputError."""
    from spareway.folder import Folder, read_file
    from spareway.readings.mapped import FILE, mapped
    if mapping is None or not job.is_dir():
        raise click.UsageError("--take wants --mapping, which says what each column is, and a job that is a folder")
    folder = Folder(job)
    found = mapped(folder.read().get(FILE, ""), read_file(mapping), written_in.name, read_file(written_in), "t")
    if found.rows:
        folder.save({FILE: found.text})
    out(paragraph(f"{counted(len(found.rows), 'reading')} taken into {FILE}, {found.blank_n} not read, "
                  f"{counted(len(found.faults), 'fault')}. Nothing that stood there was changed."))
    for fault in found.faults:
        click.echo(str(fault), err=True)
    return BAD_INPUT if found.faults else 0


@click.command("readings", cls=Verb)
@job_argument
@click.argument("circuit", default="")
@click.option("--next", "only_next", is_flag=True, help="Only what to read next; without CIRCUIT, over the whole job.")
@click.option("--then", "earlier", type=click.Path(path_type=Path), metavar="JOB",
              help="The job as it was years ago: which readings have moved since, at 20 °C.")
@click.option("--picture", type=click.Path(path_type=Path), metavar="FILE",
              help="Also draw, as SVG: the ring CIRCUIT with its readings, the insulation of all, or with --then what has moved.")
@click.option("--take", "taken", type=click.Path(path_type=Path), metavar="CSV",
              help="Bring the readings of a plain CSV into the job, by --mapping; then nothing is judged.")
@click.option("--mapping", type=click.Path(path_type=Path), metavar="TOML", help="What each column of that CSV is.")
@click.option("--supervisor", is_flag=True, help="With CIRCUIT, also what each reading not yet taken should be.")
@stage_option
@overlay_option
@json_option
def command(job: Path, circuit: str, only_next: bool, earlier: Path | None, picture: Path | None, taken: Path | None,
            mapping: Path | None, supervisor: bool, stage: str | None, overlays: Sequence[str], as_json: bool) -> int:
    """Each reading of JOB, or of CIRCUIT, against what it should have been; the faults that explain those of a circuit, ranked;
    what to read next. Of a reading that was not taken nothing is foretold but to a supervisor who asks.

    Ends with 0: this ranks and judges nothing. `spareway check` holds readings to their limits."""
    from spareway.api_readings import drawing, readings
    if taken is not None or mapping is not None:
        if taken is None or circuit or as_json:
            raise click.UsageError("--mapping says what the columns of a CSV are: name that with --take, and nothing else")
        return _take(job, taken, mapping)
    if supervisor and (as_json or not circuit):
        raise click.UsageError("--supervisor is for one circuit, and for reading only: no file or other program gets it")
    files, laid = open_job(job, overlays)
    then = open_job(earlier)[0] if earlier else None
    said = readings(files, circuit, stage, laid, next_too=only_next and not circuit, earlier=then)
    if picture is not None:
        from spareway.cli.drawing import written
        written(picture, drawing(files, circuit, stage, laid, then))
    if as_json:
        out_json(said)
        return 0
    lines = []
    for each in said["circuits"]:
        told = _next(each) if only_next else _circuit(each, bool(circuit), said["stage"])
        lines += ["", *(paragraph(f"{each['name']}:") if only_next and told else []), *told] if told else []
    if said["insulation"] is not None and not only_next:
        lines += [*_insulation(said["insulation"], said["stage"]), *_hunt(said["hunt"]), *_neutrals(said["neutrals"])]
        lines += [*_intake(said["intake"]), *_neat(said["neat"])]
    lines += _since(said["since"]) if said["since"] is not None else []
    lines += _foreseen(files, laid, circuit, stage) if supervisor else []
    lines += [*_again(said["again"]), *(_todo(said["todo"]) if said["todo"] is not None else [])]
    weighed = said["intake"] or any(each["faults"] for each in said["circuits"])
    weights = ["", *paragraph(WEIGHTS)] if not only_next and weighed else []
    caution = [line for text in said["caution"] for line in paragraph(text)]
    out([*paragraph(f"{said['job'] or 'A job without a name'}, {said['stage']}"), *(lines or ["", "Nothing was read."]), *weights,
         "", *caution])
    return 0
