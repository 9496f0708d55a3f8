"""Older jobs are brought to this schema line by line: comments and all other lines stay, and the result reads."""
from __future__ import annotations

import tomllib
from collections.abc import Mapping

import pytest

from spareway.doc import InputError
from spareway.job import job as job_module
from spareway.job.job import read_job
from spareway.job.migrate import SCHEMA, migrate

DRAFT = {
    "job.toml": """\
# What this job is.

schema  = 0   # a draft
[books]
bs7671 = "2018+A4"
[decisions]
ze = { about = "SU1 supply.ze_ohm", choice = "accepted", who = "owner", on = 2026-11-27, why = "the supply #1" }   # "supply"
[replies]
where = { about = 'supply', by = "operator-east", says = "supply of 1962" }
""",
    "found.toml": """\
# The supply as found: [supply]
[equipment]
supply = { kind = "meter" }      # a thing of that name is no table of that name
cutout = { kind = "cut-out" }
[ supply ]                       # the one [supply]
joins    = "cutout.in"           # supply end
earthing = "TN-S"
ze_ohm   = { declared = 0.8 }
""",
    "work.toml": """\
supply.operator = "supply operator"   # supply.x
remove = [ "supply.ze_ohm",   # "supply.looped"
  'supply-2', "equipment.supply",
]
""",
    "option-a.toml": "supply = { looped = true }\n",
    "readings.csv": """\
id,stage,quantity,a,b,setup,value,unit,over,instrument,nulled,loads,temp_c,by,at,strikes
r1,found,ze_ohm,supply,supply.x,"at the supply, cold",0.34,Ω,,,,,,surveyor,2026-11-09,
r2,found,zs_ohm,supplyx,,supply,0.5,Ω,,,,,,surveyor,2026-11-09,
""",
    "observations.csv": "id,where,place,code,photo,says,by,at,strikes\r\no1,supply.joins,,,,supply worn,surveyor,2026-11-09,\r\n",
    "logs/current.csv": "supply,1\n",
}
WANTED = {
    "job.toml": DRAFT["job.toml"].replace("schema  = 0 ", "schema  = 1 ").replace('"SU1 supply.', '"SU1 supplies.main.')
                                 .replace("'supply'", "'supplies.main'"),
    "found.toml": DRAFT["found.toml"].replace("[ supply ]", "[ supplies.main ]"),
    "work.toml": DRAFT["work.toml"].replace("supply.operator", "supplies.main.operator")
                                   .replace('[ "supply.', '[ "supplies.main.'),
    "option-a.toml": "supplies.main = { looped = true }\n",
    "readings.csv": DRAFT["readings.csv"].replace("ze_ohm,supply,supply.x", "ze_ohm,supplies.main,supplies.main.x"),
    "observations.csv": DRAFT["observations.csv"].replace("o1,supply.joins", "o1,supplies.main.joins"),
    "logs/current.csv": "supply,1\n",
}


def test_the_first_migration_by_hand() -> None:
    """Each text as a person would have changed it, and no character more."""
    assert dict(migrate(DRAFT, 0)) == WANTED


def test_a_migrated_job_reads() -> None:
    """What the drafts called [supply] is supplies.main now, its reading with it."""
    files = {name: text for name, text in migrate(DRAFT, 0).items() if name in ("found.toml", "readings.csv")}
    files["readings.csv"] = "\n".join(files["readings.csv"].replace("supplies.main.x", "").split("\n")[:2])
    job = read_job({**files, "job.toml": 'schema = 1\nbooks.bs7671 = "2018+A4"\n'})
    ze = job.found.supplies["main"].ze_ohm
    assert (ze.by("declared").value, ze.by("measured").value) == (0.8, 0.34)


def test_a_draft_is_refused_until_it_was_migrated() -> None:
    """Reading never migrates (decision 014): the lines told to a person are those of their own files."""
    draft = {"job.toml": 'schema = 0\nbooks.bs7671 = "2018+A4"\n', "found.toml": "[supply]\njoins = \"cutout.in\"\n[equipment]\ncutout = { kind = \"cut-out\" }\n"}
    with pytest.raises(InputError, match=r"job\.toml:1: schema: read 0"):
        read_job(draft)
    assert read_job(migrate(draft, 0)).found.supplies["main"].joins == "cutout.in"


def test_nothing_is_done_to_a_job_of_this_schema() -> None:
    """The same texts come back, and migrating twice is migrating once."""
    assert migrate(DRAFT, SCHEMA) is DRAFT
    once = migrate(DRAFT, 0)
    assert migrate({**once, "job.toml": once["job.toml"].replace("schema  = 1", "schema  = 0")}, 0) == once


def test_only_lines_concerned_change() -> None:
    """Line by line: a changed line spoke of the supply; comments are where they were."""
    for name, text in migrate(DRAFT, 0).items():
        old, new = DRAFT[name].split("\n"), text.split("\n")
        assert len(old) == len(new)
        assert all("supply" in was or "schema" in was for was, now in zip(old, new, strict=True) if was != now)
        assert [line.partition("#")[2] for line in old if "why" not in line] == \
            [line.partition("#")[2] for line in new if "why" not in line]


@pytest.mark.parametrize(("job", "wanted"), [
    ("# head\n\n[books]\na = \"b\"\n", "# head\n\nschema = 1\n[books]\na = \"b\"\n"),
    ("# only words", "# only words\nschema = 1"),
    ("says = \"x\"\n", "schema = 1\nsays = \"x\"\n"), ("schema=0", "schema=1")])
def test_the_schema_is_stated_in_the_first_statement(job: str, wanted: str) -> None:
    """A draft without a number gets one where it belongs: before any table, after what the file says of itself."""
    out = migrate({"job.toml": job}, 0)["job.toml"]
    assert out == wanted
    assert tomllib.loads(out)["schema"] == SCHEMA


@pytest.mark.parametrize("version", [SCHEMA + 1, 99])
def test_a_newer_schema_is_refused_in_one_sentence(version: int) -> None:
    """And nothing is changed."""
    before = dict(DRAFT)
    with pytest.raises(InputError) as refused:
        migrate(DRAFT, version)
    assert str(refused.value) == (f"job.toml: schema: this job is of schema {version}, this program reads up to 1; "
                                  "use a newer program; nothing was changed")
    assert before == DRAFT


def test_a_schema_that_never_was_is_refused() -> None:
    """Schemas count from 0."""
    with pytest.raises(InputError, match="schemas count from 0"):
        migrate(DRAFT, -1)


def test_every_text_that_cannot_be_read_is_told() -> None:
    """Faults of all files in one run, and no half-migrated job."""
    broken: Mapping[str, str] = {**DRAFT, "work.toml": "supply = = 3\n", "option-a.toml": "[supply\n"}
    with pytest.raises(InputError) as told:
        migrate(broken, 0)
    assert {fault.file for fault in told.value.faults} == {"work.toml", "option-a.toml"}


def test_reader_and_migration_are_of_one_schema() -> None:
    """Two numbers that must be one."""
    assert job_module.SCHEMA == SCHEMA
