"""Every screen of the phone: its address, and what a person does there. Tests, study and the pictures in docs/ walk this list."""
from __future__ import annotations

from dataclasses import dataclass

WEIR, TWO, GRANARY = "app/jobs/weir/", "app/jobs/weir-two/", "app/jobs/granary/"


@dataclass(frozen=True, slots=True)
class Screen:
    """`name` also names its picture. `taps`: what is touched, one after another, before it stands as shown.

    `top`: what is scrolled to the top of the picture. `telling`: shown in every theme; `gloves`: with gloves on."""
    name: str
    path: str
    does: str
    taps: tuple[str, ...] = ()
    top: str = ""
    telling: bool = False
    gloves: bool = False


SCREENS = (
    Screen("this-phone", "app/this-phone", "Say once whose phone it is, how its screen looks, and whether gloves are on."),
    Screen("jobs", "app/", "Choose a job, begin one, take a call, or bring one in."),
    Screen("new-job", "app/new", "Give a job its name; three more questions and it checks."),
    Screen("new-job-nation", "app/new?called=Mill%20House", "Answer by one tap where there are but a few answers."),
    Screen("bring-in", "app/bring-in", "Take in a whole job, as zip, from a laptop or another phone."),
    Screen("call", "app/call", "Take a call: one question at a time until an answer decides."),
    Screen("call-end", "app/call?fire=yes", "Read out how the call ends, and keep the enquiry note.", telling=True),
    Screen("places", WEIR, "See what is open at each place of a job, and go there."),
    Screen("doorstep", f"{WEIR}at/doorstep", "Ask the hazards at the door, yes or no each."),
    Screen("hazard-note", f"{WEIR}hazards", "Read what whoever comes next must know."),
    Screen("cabinet-rating", f"{WEIR}at/meter%20cabinet?id=equipment.cutout.fuse_a", "Enter a rating read on the fuse itself, or say why it cannot be read."),
    Screen("cabinet-all", f"{WEIR}at/meter%20cabinet?id=all", "Look over all that was answered at a place, and put one right."),
    Screen("cabinet-by-eye", f"{WEIR}at/look,%20cabinet", "Say what only a person can see, thing by thing."),
    Screen("cupboard", f"{WEIR}at/board%20cupboard", "Fill the ways of a board, one question at a time."),
    Screen("as-run", f"{WEIR}at/as%20run", "Put in the length that was run, where it differs from the drawing board."),
    Screen("rooms", f"{WEIR}rooms", "See what each room loses, as a range, and what its heaters do about it.", telling=True),
    Screen("rooms-circuits", f"{WEIR}rooms", "See which rooms another stamp leaves short, and on how few circuits the heaters go.", top="section[aria-label='heaters on circuits']"),
    Screen("room", f"{WEIR}rooms/room?of=living", "Open one room: its loss, the heater that meets it, each part to its working."),
    Screen("home-all", f"{WEIR}rooms/ask?id=all", "Look over what all rooms are reckoned with."),
    Screen("home-bridges", f"{WEIR}rooms/ask?id=heating.main.bridging_w_per_m2k", "Choose what is not known by the table: each figure with where it is from and how well it is known."),
    Screen("new-room", f"{WEIR}rooms/new", "Begin a room by what it is used for."),
    Screen("room-glass", f"{WEIR}rooms/ask?of=living&id=rooms.living.elements.window.area_m2", "Add up its glass as it is measured, or say that there is none.", taps=("summary:has-text('There is')", "button[data-key='1']", "button[data-key='.']", "button[data-key='2']")),
    Screen("room-wall", f"{WEIR}rooms/ask?of=living&id=rooms.living.kind.wall", "Say what its wall is: this home's own first, what nobody can tell as a range."),
    Screen("demand", f"{WEIR}demand", "See four figures side by side, each with what it answers; what nobody knows is drawn as not known.", telling=True),
    Screen("demand-drawn", f"{WEIR}demand/drawn", "See the figures against what the fuse is rated at and opens at.", telling=True),
    Screen("demand-day", f"{GRANARY}demand/drawn?what=day&log=january-day.csv", "See of a log its worst day, minute by minute, against the fuse."),
    Screen("demand-length", f"{GRANARY}demand/drawn?what=length&log=january-day.csv", "See how long it was how much, and for how long above the fuse."),
    Screen("demand-log", f"{WEIR}demand/log", "Bring in what a logger wrote, a row a minute: its size is known before it is read."),
    Screen("chain", f"{GRANARY}chain?to=80", "Ask each part of the service again behind a larger fuse: what does not hold, what nobody knows.", telling=True),
    Screen("chain-tails", f"{WEIR}chain?stage=found", "See of long tails three answers that are kept apart.", top="section[aria-label='long tails']"),
    Screen("operator", f"{WEIR}operator", "Read what the network operator wants before anything is ordered, and why."),
    Screen("operator-supply-off", f"{WEIR}operator", "Read what stays live until the operator takes the supply off, and who may draw the fuse.", top="section[aria-label='supply off']"),
    Screen("service-ask", f"{WEIR}service/ask?id=supplies.main.looped", "Answer what the operator and the chain wait for, where it can be seen."),
    Screen("picture", f"{WEIR}picture?stage=found", "Look at the intake as it hangs on the wall, street at the foot.", telling=True),
    Screen("picture-touched", f"{WEIR}picture?stage=found&open=house.switch&touched=house.switch", "Touch a switch: it is shown open, and what stays live is said in words.", telling=True),
    Screen("picture-part", f"{GRANARY}picture?touched=isolator.surge%20modules", "Touch a part: what makes it dead by the record, and who may."),
    Screen("findings", f"{WEIR}findings?stage=found", "Read what is wrong, worst first, those of one rule together.", telling=True),
    Screen("findings-settle", f"{WEIR}findings?stage=found", "See which few readings settle most of what is not known.", top="h2:has(+ ol.needs)"),
    Screen("findings-proposed", f"{WEIR}findings?stage=proposed", "Of a proposal, first what must be made safe today, whatever the work will cure."),
    Screen("findings-all", f"{WEIR}findings?stage=found&every=yes", "Open all that is unknown, each with what it waits for.", top="ol.needs + section.unknown"),
    Screen("working", f"{WEIR}findings/0?stage=found", "See what one finding says, what to do about it, and where it is written."),
    Screen("working-sum", f"{WEIR}findings?stage=found", "Follow one number back to its sum, its table and what it rests on.", taps=("a.member:has(.strip)",), telling=True),
    Screen("circuits", f"{WEIR}circuits", "See each circuit in a few lines, worst first, and what would turn it."),
    Screen("circuit", f"{WEIR}circuit?of=cooker", "Open one circuit: every quantity to its working; move an amount and see the verdict at once.", telling=True),
    Screen("circuit-time", f"{WEIR}circuit/drawn?of=cooker", "See when its device opens, what its conductors bear, and the faults at both ends.", telling=True),
    Screen("circuit-drop", f"{WEIR}circuit/drawn?of=cooker&what=drop", "See the voltage lost along the way from the origin, and the length at which it meets its limit."),
    Screen("new-circuit", f"{WEIR}new-circuit", "Say what a circuit that is yet to be feeds, its load, its length and how it lies."),
    Screen("new-circuit-chosen", f"{WEIR}new-circuit?feeds=cooker&load_kw=7.2&length_m=14&method=100", "Read which cable and device were chosen, what each smaller one breaks, and where the choice turns."),
    Screen("circuit-moved", f"{WEIR}circuit?of=cooker&length_m=90", "Slide a length past where a check turns: the verdict turns with it, and nothing is written."),
    Screen("ways", f"{WEIR}test", "Choose the circuit to measure, by its way."),
    Screen("reading", f"{WEIR}test/ring-ground?test=3", "Enter a reading by thumb; the last one is read back in words.", taps=("button[data-key='0']", "button[data-key='.']", "button[data-key='6']"), telling=True),
    Screen("reading-gloves", f"{WEIR}test/ring-ground?test=3", "The same with gloves on: larger keys, the keypad in two halves.", gloves=True),
    Screen("reading-gloves-half", f"{WEIR}test/ring-ground?test=3", "The other half: over range, and rub out.", taps=("label[for=half]",), gloves=True),
    Screen("reading-again", f"{GRANARY}test/ring/again?test=2", "Look again at a reading that is not as expected: kept as written, asked about, never corrected.", telling=True),
    Screen("live", f"{WEIR}live", "Choose what to test live; what of it was not read dead is named."),
    Screen("live-reading", f"{WEIR}live/circuits.cooker?test=3", "Enter a live reading: marked as live work, nothing of what it should be."),
    Screen("live-again", f"{GRANARY}live/circuits.cooker/again?test=1", "Read what a bad live reading calls for before anything else."),
    Screen("insulation", f"{WEIR}insulation?stage=found", "See what each circuit's insulation is, what they come to, what to take out first, and why it may leak.", telling=True),
    Screen("insulation-neutrals", f"{WEIR}insulation?stage=found", "Read which two circuits share a neutral, and how that is proved, locked off first.", top="h2:text-is('Neutrals of two circuits')"),
    Screen("insulation-next", f"{WEIR}insulation/next?stage=found&board=office", "Read which circuits leak, and take the one insulation reading that tells most."),
    Screen("signs", f"{WEIR}signs?stage=found", "See what may be wrong at intake and board by the signs that were read, and what would tell more."),
    Screen("what-next", f"{WEIR}next?stage=found", "See what to find out next over the whole job: the acts that decide most a minute."),
    Screen("flag", f"{WEIR}flag", "Write down what a flag or a button shows and what its maker says that means, with where it is written."),
    Screen("tester", f"{WEIR}tester", "Say once a day which tester, how warm the conductors are, and that the leads were nulled."),
    Screen("readings-told", f"{GRANARY}readings?of=ring&stage=found", "Read which fault explains every reading of a ring, and where.", telling=True),
    Screen("readings-next", f"{WEIR}readings/next?of=ring-ground&stage=found", "Take the one reading that tells most: its instruction first, nothing of what it should show."),
    Screen("photos", f"{WEIR}photos", "Take a photo, tied to a thing, for a use that somebody agreed to."),
    Screen("seen", f"{WEIR}seen", "Write down a thing seen, with your code or none."),
    Screen("join", f"{TWO}join", "Join with a second phone: what both changed stands side by side until one of you chooses."),
    Screen("missing", "app/jobs/none/", "Come back from an address that leads nowhere."),
)
PARTS = ("/jobs/{job}/circuit/worked", "/jobs/{job}/new-circuit/worked")      # what changes within a screen while an amount is moved
FILES = ("/jobs/{job}/job.zip", "/jobs/{job}/check.json", "/jobs/{job}/heat.json", "/jobs/{job}/demand.json", "/jobs/{job}/pocket.html", "/jobs/{job}/photos/{name}")    # answers that are no screen
