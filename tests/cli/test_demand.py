"""`spareway demand`: the figures of the document stand on the page, a log is read, and what is no log is told."""
from __future__ import annotations

import math
from pathlib import Path

from tests.cli.cases import GRANARY, WEIR, document, page, too_long, typed


def flat(text: str) -> str:
    return " ".join(text.split())


def test_each_figure_stands_on_the_page_by_itself() -> None:
    """What moved is told twice: by the book 18.5 A more, connected 12.0 A less. No figure says that a fuse carries it."""
    code, said = document("demand", GRANARY)
    text = flat(page("demand", GRANARY))
    assert too_long(page("demand", GRANARY)) == []
    assert code == 0
    for total in said["book"]["totals"]:
        assert f"{total['is']}: {total['says']}" in text
    for line in said["book"]["lines"]:
        assert f"{line['row']}," in text
    assert "by the book: 63.3 A, now 81.8 A (+18.5 A) connected: 70.1 A, now 58.1 A (−12.0 A)" in text
    assert "panel heaters on their own circuits: nothing, now 18.5 A" in text
    assert "Recorded: 44 A by logs.january: its highest minute, with everything connected since" in text
    assert "no credit" not in text
    assert "recorded: 44 A leaves 16 A" in text
    assert "Foreseen: unknown: not simulated" in text
    assert "That it never blew" not in text
    without = flat(page("demand", WEIR))
    assert "Recorded: unknown: highest minute of a current log, logs: no log of the current at the intake is recorded" in without
    assert "That it never blew is no evidence" in without
    assert "Holds for 4 h: unknown" in " ".join(without.split())
    assert "it opens within 4 h at 120 A (from memory)" in " ".join(without.split())
    assert all(flat(line) in text for line in said["caution"])


def test_what_a_total_rests_on_is_said_once() -> None:
    """Weir: the handbook's 100 W a lamp stands under connected and by the book, and is told under the first alone."""
    _, said = document("demand", WEIR)
    text = flat(page("demand", WEIR))
    lamp = "rests on power of a load 100 W, from memory: a lampholder; over-states LED homes"
    assert {"says": "power of a load", "is": "100 W", "how": "from memory",
            "note": "a lampholder; over-states LED homes"} in said["connected"]["total_a"]["rests_on"]
    assert said["connected"]["lasting_a"]["rests_on"] == []
    assert text.count(lamp) == 1
    assert text.index(lamp) < text.index("By the book")
    for each in (*said["book"]["totals"][0]["rests_on"], *said["fuse"]["opens_a"]["rests_on"]):
        assert f"rests on {each['says']} {each['is']}, {each['how']}: {each['note']}" in text
    assert "circuits.cooker: a socket on its control unit would add 5 A: none is recorded" in text
    assert "Of that, heaters, stored water and charging together, as after an outage: 68.5 A" in text


def test_a_book_figure_that_is_not_known_says_the_least_that_it_is(tmp_path: Path) -> None:
    """Lamps that nobody counted: the rest of the book stands as the least, on the page and in the document; with all known it does not."""
    lamps = tmp_path / "lamps.toml"
    lamps.write_text('remove = ["circuits.lights.points"]\ncircuits.lights.feeds = "lights"\n', "utf-8")
    _, said = document("demand", GRANARY, "--with", lamps)
    assert said["book"]["totals"][0]["amount"] is None
    whole_a = document("demand", GRANARY)[1]["book"]["totals"][0]["amount"]
    assert math.isclose(said["book"]["least_a"]["amount"], whole_a - 12 * 100 * 0.66 / 230, abs_tol=1e-3), "twelve lamps of 100 W, two thirds of them"
    text = flat(page("demand", GRANARY, "--with", lamps))
    assert f"at least {said['book']['least_a']['is']}, and more: by what is known, heaters whole unknown: " in text
    assert "how many lampholders it has is not recorded: write each as a point of it that feeds a lamp" in text
    assert ", and more: by what is known" not in flat(page("demand", GRANARY))


def test_a_log_is_read(tmp_path: Path) -> None:
    log = tmp_path / "week.csv"
    log.write_text("at,current_a\n" + "".join(f"2026-01-12T18:{n:02},{90 if n in (3, 4) else 20}\n" for n in range(30)))
    text = flat(page("demand", WEIR, "--log", log))
    assert "Recorded: 145 A by week.csv: its highest minute, with everything connected since" in text
    assert "week.csv: 30 rows, 0 missing; 90 A the highest minute, 2026-01-12 18:03" in text
    assert "no credit: week.csv, 145 A with what was connected since, settles nothing: 0.0208 days where 7 are asked for" in text
    assert "Above the 80 A of the fuse: 2 min, the longest run 2 min from 2026-01-12T18:03, as logged; 55.4 A connected since is not in it, 145 A with it" in text
    assert "recorded: 145 A is 65.4 A over" in text                   # with the 55.4 A of heaters that the work adds
    assert "apply: recorded, with what is connected since: 145 A, above 80 A" in text
    assert "recorded: 90 A is 10 A over" in flat(page("demand", WEIR, "--log", log, "--stage", "found"))
    assert "never blew" not in text


def test_a_log_that_is_given_is_told_as_the_lines_that_keep_it(tmp_path: Path) -> None:
    """Taken into the job as they are printed they read, and give the same minute; without any log the page says how one is given."""
    log = tmp_path / "A cold week.csv"
    log.write_text("at,current_a\n" + "".join(f"2026-01-12T18:{n:02},{61.25 if n == 3 else 20}\n" for n in range(30)))
    keep = document("demand", WEIR, "--log", log)[1]["recorded"]["keep"]
    assert keep[0] == "[logs.a-cold-week]"
    assert all(line in page("demand", WEIR, "--log", log).splitlines() for line in (f"    {each}" for each in keep))
    (tmp_path / "kept.toml").write_text("\n".join(keep), "utf-8")
    said = document("demand", WEIR, "--with", tmp_path / "kept.toml", "--stage", "found")[1]["recorded"]
    assert (said["highest_a"]["amount"], said["keep"]) == (61.25, [])
    assert "A logger's file is given by --log FILE" in flat(page("demand", WEIR))


def test_no_minute_above_the_fuse_as_logged_is_told_as_that(tmp_path: Path) -> None:
    """60.6 A at most of what was found: nought minutes, and the 55.4 A of heaters since are in none of them; as found nothing is."""
    log = tmp_path / "week.csv"
    log.write_text("at,current_a\n" + "".join(f"2026-01-12T18:{n:02},{60.6 if n == 3 else 20}\n" for n in range(30)))
    text = flat(page("demand", WEIR, "--log", log))
    assert "Above the 80 A of the fuse: 0 min, as logged; 55.4 A connected since is not in it, 116 A with it" in text
    assert document("demand", WEIR, "--log", log)[1]["recorded"]["over"]["not_in_it"].startswith("as logged; 55.4 A")
    found = document("demand", WEIR, "--log", log, "--stage", "found")[1]
    assert (found["recorded"]["over"]["minutes_n"], found["recorded"]["over"]["not_in_it"]) == (0, "")


def test_a_log_of_an_hour_in_july_lowers_no_answer(tmp_path: Path) -> None:
    """Sixty rows of 0.4 A: the figure is unknown with its reasons, nothing is in hand by it, and the operator is applied to."""
    log = tmp_path / "july.csv"
    log.write_text("at,current_a\n" + "".join(f"2026-07-12T18:{n:02},0.4\n" for n in range(60)))
    code, said = document("demand", WEIR, "--log", log)
    text = flat(page("demand", WEIR, "--log", log))
    assert (code, said["operator"]["left"], said["recorded"]["demand_a"]["amount"], said["recorded"]["highest_a"]["amount"]) == (0, "apply", None, 0.4)
    assert next(each for each in said["in_hand"] if each["says"] == "recorded")["left_a"]["amount"] is None
    why = said["recorded"]["no_credit"][0]
    assert why.startswith("july.csv, 55.8 A with what was connected since, settles nothing: 0.0417 days where 7 are asked for; temperature outside")
    assert text.count(why) == 4                         # the figure, in hand, and two reasons of the operator
    assert "never blew is no evidence" in text


def test_what_is_no_log_is_told(tmp_path: Path) -> None:
    (tmp_path / "bad.csv").write_bytes(b"\xff\xfe")
    (tmp_path / "other.csv").write_text("when,amps\n1,2\n")
    for name, says in (("none.csv", "none.csv: there is no such file"), ("bad.csv", "bad.csv"),
                       ("other.csv", "there is no column at")):
        done = typed("demand", WEIR, "--log", tmp_path / name)
        assert (done.exit_code, done.stdout) == (2, "")
        assert says in done.stderr


def test_a_spare_way_is_not_spare_amperes() -> None:
    """FEATURES 29: Weir has four ways to spare and nothing in hand by the book; the rest is told of each figure by itself."""
    _, said = document("demand", WEIR)
    text = flat(page("demand", WEIR))
    assert "Amperes in hand of 80 A, each figure by itself:" in text
    assert "by the book, heaters whole: 137 A is 57.4 A over" in text
    assert "lasting, as after an outage: 68.5 A leaves 11.5 A" in text
    assert "recorded: unknown: logs: no log of the current at the intake is recorded" in text
    assert "board: four spare ways; a spare way is not spare capacity." in text
    assert [each["left_a"]["amount"] for each in said["in_hand"][:3]] == [0, 0, 0]
    assert [f"{each['over_a']['amount']:.1f}" for each in said["in_hand"][:4]] == ["35.9", "57.4", "34.7", "0.0"]
    assert not any("leaves 0 A" in line for line in text.split(": "))


def test_a_fuse_that_nobody_read_leaves_nothing_to_count(tmp_path: Path) -> None:
    """Told by somebody: no amperes are in hand, and none are nought."""
    unread = tmp_path / "unread.toml"
    unread.write_text("equipment.cutout.fuse_a = { told = 80 }\n")
    text = flat(page("demand", WEIR, "--with", unread))
    assert "Amperes in hand: not known while the rating of the service fuse is not." in text
    assert "leaves" not in text


def test_what_the_operator_wants_is_told_with_its_reasons() -> None:
    code, said = document("demand", WEIR)
    text = flat(page("demand", WEIR))
    assert (code, said["operator"]["left"]) == (0, "apply")
    assert f"The network operator: apply. {said['operator']['means']}" in text
    for reason in said["operator"]["reasons"]:
        assert f"{reason['wants']}: {flat(reason['says'])}" in text
    assert all(flat(line) in text for line in said["caution"])
    assert said["service"] is None
    assert "service chain" not in text


def test_a_raise_is_told_part_by_part() -> None:
    """SCENARIOS, Granary, row Tails: now three answers; at 80 A the riser fails in the wall. Nothing is said to be safe or to pass."""
    asked = ("demand", GRANARY, "--raise", "80")
    code, said = document(*asked)
    text = flat(page(*asked))
    assert too_long(page(*asked)) == []
    assert code == 0
    assert "The service chain behind the fuse that is there, 60 A: unknown." in text
    assert "If the fuse were 80 A, which the operator alone can change: no." in text
    assert "Worst: stretch conduit, 4 m, method A" in text
    assert "Long tails, runs.riser, 13 m: three answers. the operator's limit: unknown." in text
    assert "known to open before the service fuse up to 37.5 A, which is less than connected 58.1 A" in text
    for behind in (said["service"]["now"], *said["service"]["raised"]):
        for part in behind["parts"]:
            assert f"{part['at']}, {part['says']}" in text
            assert all(flat(each["says"]) in text for each in part["answers"] if each["answer"] != "yes")
    assert all(flat(line) in text for line in said["caution"])
    assert not any(word in text.split() for word in ("safe", "pass", "passes"))


def test_a_yes_of_the_chain_says_its_clause_and_what_it_rests_on() -> None:
    """Granary: the supply's yes stands on a current from memory, the tails' on the tables' own ambient, and another fuse on the
    standard of the one that is there. Each is said, once on the page; so is every clause of the chain."""
    asked = ("demand", GRANARY, "--raise", "80", "--cap", "30")
    said, text = document(*asked)[1]["service"], flat(page(*asked))
    assert too_long(page(*asked)) == []
    assert "the supply: yes: a fault opens the fuse within 5 s where the supply comes in [411.3.2.3 Table 41.4] rests on current that opens the device within " \
           "its time 330 A, from memory: BS 7671:2008 Appendix 3 equipment.cutout" in text
    assert "carries what the fuse lets through [433.1.1, 433.2.2, 433.3.1] (all of it lies in one way, 0.4 m, method C)" in text
    assert "its carrier is made for the fuse [533.1, ESQCR 2002 reg 24]: unknown" in text
    for words in ("330 A, from memory", "temperature around the cable 30 °C, assumed", "factor for thermal insulation 1, assumed",
                  "rated current of the fuse in the supply 80 A, assumed", "standard of the fuse bs1361-2, assumed",
                  "how heavy a room is built light, assumed"):
        assert text.count(words) == 1, words
    told = [each for behind in (said["now"], *said["raised"]) for part in behind["parts"] for each in part["answers"]]
    told += [each for long in said["long_tails"] for key in ("operator", "overload", "clearing") for each in long[key]]
    grounds = {(each["says"], each["is"], each["how"]) for answer in told for each in answer["rests_on"]}
    assert len(grounds) >= 5
    assert all(text.count(f"rests on {says} {amount}, {how}") >= 1 for says, amount, how in grounds)
    assert all(f"[{answer['clause'].replace(';', ',')}]" in text for answer in told if answer["clause"])
    assert "[]" not in text


def test_a_reply_on_record_is_told(tmp_path: Path) -> None:
    """The operator agreed to more by letter: the reason stands, answered; so does the raise."""
    job = tmp_path / "job"
    job.mkdir()
    for file in WEIR.iterdir():
        (job / file.name).write_bytes(file.read_bytes())
    with (job / "job.toml").open("a") as about:
        about.write('[replies]\nmore = { about = "equipment.cutout", answers = ["service fuse", "demand"], by = "operator-east", ref = "Q-9", '
                    'on = 2026-11-08, allows = true, raised_fuse_a = 100, says = "100 A agreed" }\n'
                    '[enquiries]\nloop = { asks = ["looped service"], to = "operator-east", by = "the firm", on = 2026-11-07 }\n')
    whose = tmp_path / "whose.toml"
    whose.write_text('supplies.main.operator = "operator-east"\n')
    text = flat(page("demand", job, "--raise", "100", "--with", whose))
    assert "supplies.main, the supply: yes: its network operator agrees to such a fuse; a fault opens the fuse within 5 s" in text
    assert "; asked on 2026-11-07, no answer on record" in text
    assert "; answered by operator-east (Q-9) on 2026-11-08" in text


def test_a_cap_is_told_with_its_order_and_its_cost() -> None:
    """Weir under 60 A: two heaters off for what lasts, in their order; what the device must do; no figure is lowered."""
    asked = ("demand", WEIR, "--cap", "60")
    _, said = document(*asked)
    text = flat(page(*asked))
    assert too_long(page(*asked)) == []
    assert said["service"]["raised"] == []
    assert "A cap of 60 A on the home, heaters off for 2 h of the design day. A cap is an option." in text
    assert "lasting, as after an outage 68.5 A: two heaters held off, in this order 1 equipment.heater-landing, landing, 2.17 A: leaves 66.3 A" in text
    assert "at the highest voltage 65.8 A may be left, above 60 A: more is held off then" in text
    assert "no plan: with every heater of the search held off 60.5 A is left, above the cap" in text
    assert all(flat(line) in text for line in said["service"]["cap"]["device"])
    assert "Of that, heaters, stored water and charging together, as after an outage: 68.5 A" in text
    longer = document("demand", WEIR, "--cap", "60", "--held", "4")[1]["service"]["cap"]["plans"][2]
    assert longer["steps"][-1]["cooled_kh"]["amount"] > said["service"]["cap"]["plans"][2]["steps"][-1]["cooled_kh"]["amount"] * 2


def test_what_cannot_be_asked_of_the_chain_is_told() -> None:
    for words, says in ((("--held", "3"), "--held goes with --cap"), (("--raise", "80", "--simulate"), "ask one of them"),
                        (("--raise", "0"), "no number that can be meant"), (("--cap", "nan"), "no number that can be meant"),
                        (("--raise", "much"), "is not a valid float")):
        done = typed("demand", WEIR, *words)
        assert (done.exit_code, done.stdout) == (2, ""), words
        assert says in done.stderr
