"""Two phones, one job, no signal: each adds its own, one carries its zip to the other, and nothing is lost."""
from __future__ import annotations

import base64

from spareway.folder.zipped import unpacked
from spareway.job.job import read_job
from tests.web.phone import Phone
from tests.web.stage import take, texts, zipped
from tests.web.test_journey import carried

JOB = "app/jobs/both/"
ENTRIES = 300
# begun here and waited for later, so that both phones are at it at once
SEEN_JS = """([to, n, who]) => { window.kept = (async () => { for (let i = 0; i < n; i++) { const r = await fetch(to, {method: 'POST',
    headers: {'HX-Request': 'true'}, body: new URLSearchParams({where: 'equipment.house', says: `${who} saw ${i}`, code: ''})});
    if (r.status !== 204) return r.status; } return 204; })(); }"""
SEND_JS = """async ([to, data]) => (await fetch(to, {method: 'POST', headers: {'HX-Request': 'true'},
    body: Uint8Array.from(atob(data), (c) => c.charCodeAt(0))})).status"""


def test_three_hundred_entries_on_each(standing: Phone, mortal: Phone) -> None:
    """Six hundred rows, a circuit that both changed shown side by side and unknown, chosen by a tap."""
    ann, bo = standing, mortal
    before = [len(each.strange()) for each in (ann, bo)]
    for held, who, length in ((ann, "Ann", "9"), (bo, "Bo", "11")):
        assert held.fetch("app/this-phone", {"by": who})[0] == 204
        take(held, zipped(texts("weir-cottage")), "both")
        assert held.fetch(f"{JOB}at/board%20cupboard", {"id": "circuits.cooker.cable.length_m", "value": length})[0] == 204
        held.page.evaluate(SEEN_JS, [held.path(f"{JOB}seen"), ENTRIES, who])
    assert [held.page.evaluate("window.kept") for held in (ann, bo)] == [204, 204]
    assert ann.page.evaluate(SEND_JS, [ann.path(f"{JOB}join"), base64.b64encode(carried(bo, "both")).decode()]) == 204
    files = unpacked(carried(ann, "both")).texts
    says = {row.says for row in read_job(files).observations}
    assert says >= {f"{who} saw {n}" for who in ("Ann", "Bo") for n in range(ENTRIES)}
    assert not read_job(files).found.circuits["cooker"].cable.length_m.known

    ann.go(f"{JOB}join")
    assert "two people changed it" in ann.page.inner_text("#screen")
    assert "{ measured = 11 } / { measured = 9 }" in ann.page.inner_text("#screen")
    ann.go(f"{JOB}findings?stage=found&every=yes")
    assert "Two people changed this" in ann.page.inner_text("#screen")
    ann.go(f"{JOB}join")
    ann.tap("button[name=version][value='0']")
    assert "Nothing is disputed" in ann.page.inner_text("#screen")
    length = read_job(unpacked(carried(ann, "both")).texts).found.circuits["cooker"].cable.length_m
    assert str(length) == "11 m"
    assert [each.strange()[n:] for each, n in zip((ann, bo), before, strict=True)] == [[], []]
