"""The verb `drawing`, as it is typed."""
from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

from click.testing import CliRunner, Result

from spareway.cli.verbs import spareway
from tests.drawings.test_intake import EXAMPLES


def typed(*words: object) -> Result:
    return CliRunner().invoke(spareway, ["drawing", *map(str, words)], catch_exceptions=False)


def test_it_writes_the_picture_and_says_the_caution(tmp_path: Path) -> None:
    """A thing's only control by the thing's name, a conductor by its own; the same bytes each run."""
    first, second = tmp_path / "a.svg", tmp_path / "b.svg"
    for path in (first, second):
        done = typed(EXAMPLES / "weir-cottage", "--stage", "found", "--open", "cutout", "--lift", "lights-first.N", "--out", path)
        assert done.exit_code == 0, done.output
        assert "Prove dead at the point of work" in done.stdout
    assert first.read_bytes() == second.read_bytes()
    assert "Open: cutout.fuse. Lifted: lights-first.N." in "".join(ElementTree.parse(first).getroot().itertext())


def test_an_overlay_is_laid_first(tmp_path: Path) -> None:
    """The wrong end, drawn: its modules stay live with the switch open."""
    path = tmp_path / "wrong.svg"
    done = typed(EXAMPLES / "granary-yard", "--with", "wrong-end.toml", "--open", "isolator.switch", "--out", path)
    assert done.exit_code == 0, done.output
    assert "isolator.surge.L: line;" in path.read_text("utf-8")


def test_bad_input_is_told_in_a_line(tmp_path: Path) -> None:
    """A control that is not there, a place that cannot be written, no file named: exit code 2, and nothing is written."""
    weir, path = EXAMPLES / "weir-cottage", tmp_path / "a.svg"
    for words, says in (((weir, "--stage", "found", "--open", "hose.switch", "--out", path), "house.switch"),
                        ((weir, "--out", tmp_path / "none" / "a.svg"), "cannot be written"), ((weir,), "--out")):
        done = typed(*words)
        assert done.exit_code == 2
        assert says in done.output
    assert not path.exists()


def test_a_circuit_is_drawn_too(tmp_path: Path) -> None:
    """By its address or its name; time against current unless the voltage is asked for; as wide as a page where that is asked for."""
    path = tmp_path / "a.svg"
    for words, title, wide in ((("--of", "circuits.heat-5"), "Time and current of heat-5", "360"),
                               (("--of", "heat-5", "--show", "drop", "--wide"), "Voltage along heat-5", "560")):
        done = typed(EXAMPLES / "weir-cottage", *words, "--out", path)
        assert done.exit_code == 0, done.output
        assert "Prove dead at the point of work" in done.stdout
        root = ElementTree.parse(path).getroot()
        assert (root.findtext("{http://www.w3.org/2000/svg}title"), root.attrib["width"]) == (title, wide)


def test_a_circuit_that_is_not_there(tmp_path: Path) -> None:
    """The nearest name is told, and a surge device in a way is no circuit; nothing can be opened in such a drawing. Exit code 2."""
    path = tmp_path / "a.svg"
    for words, says in ((("--of", "circuits.heat-6"), 'there is no circuit "heat-6"'), (("--of", "surge"), 'there is no circuit "surge"'),
                        (("--of", "cooker", "--open", "cutout"), "with --of nothing is opened")):
        done = typed(EXAMPLES / "weir-cottage", *words, "--out", path)
        assert done.exit_code == 2
        assert says in done.output
    assert "heat-" in typed(EXAMPLES / "weir-cottage", "--of", "circuits.heat-6", "--out", path).output.partition('"heat-6"')[2]
    assert not path.exists()
