"""The words of the trade as this site uses them, each with where its meaning is from."""

from dataclasses import dataclass
from itertools import groupby

from trips.calc.words import marked, say

PRACTICE = marked("Common practice, no source.")
OURS = marked("As this site uses it.")
WELLS = "J. H. Wells, Placer Examination, US BLM Technical Bulletin 4, 1969"


@dataclass(frozen=True)
class Term:
    word: str
    meaning: str
    source: str = OURS


TERMS = (
    Term(
        marked("accretion bar"),
        marked("A low bar of sand and gravel that builds up on the inside of a bend."),
        f"{WELLS}, Glossary (seen).",
    ),
    Term(
        marked("bank"),
        marked("Gravel in place, before it is dug. It swells when loosened."),
        PRACTICE,
    ),
    Term(
        marked("bedrock"),
        marked(
            "The solid rock under the gravel, where gold that sank comes to rest, "
            "above all in cracks."
        ),
        PRACTICE,
    ),
    Term(marked("bench"), marked("Old gravel on a terrace above today's water."), PRACTICE),
    Term(
        marked("black sand"),
        marked("Heavy dark minerals, mostly iron ores, that stay in pan and box with the gold."),
        PRACTICE,
    ),
    Term(
        marked("box"),
        marked("A trough with something on its floor that holds gold back; see sluice."),
        PRACTICE,
    ),
    Term(
        marked("break-even"),
        marked("The gold, the rate or the price at which a trip pays a cost."),
    ),
    Term(
        marked("clean-up"),
        marked("Taking out what a box has held back. A run is what was fed between two of them."),
        PRACTICE,
    ),
    Term(
        marked("classify"),
        marked(
            "To sieve gravel before it is fed. Losses of boxes without it were "
            "about ten times those "
            "of boxes with it."
        ),
        "R. Clarkson, Placer Gold Recovery Research, 1990 (seen second-hand), commercial boxes.",
    ),
    Term(
        marked("colour"),
        marked(
            "A grain of gold that one can see. Counted as coarse, medium and fine, "
            "in words that the "
            "party fixes."
        ),
        f"Classes by mass: {WELLS}, Part V sec. 4 note 1 (seen); the word: common practice.",
    ),
    Term(
        marked("concentrate"),
        marked("What is left in pan or box once the light stuff is gone."),
        PRACTICE,
    ),
    Term(
        marked("Corey shape factor"),
        marked(
            "How flat a grain is: thickness over the root of length times breadth; 1 for a ball."
        ),
        "E. H. Macdonald, Handbook of Gold Exploration and Evaluation, p. 203, eq. 4.3 (seen).",
    ),
    Term(marked("crevice"), marked("A crack in bedrock that holds gold."), PRACTICE),
    Term(
        marked("door to door"),
        marked("From leaving home to being back: the hours that a trip really takes."),
    ),
    Term(
        marked("duty"),
        marked("Something due by a day: a report, work to keep a claim, a renewal, filling in."),
    ),
    Term(
        marked("electrum"),
        marked("Gold with much silver: from 20 % in one source, from 15 to 50 % in another."),
        "Hough, Butt & Fischer-Buehner, Elements 5, 2009; Macdonald p. 11 (both seen).",
    ),
    Term(
        marked("false bedrock"),
        marked("A tight layer above the true bedrock, often of clay, on which gold stops."),
        PRACTICE,
    ),
    Term(
        marked("fine gold, by size"),
        marked("What passes a sieve of 20 meshes and stays on one of 40, about 0.4 to 0.8 mm."),
        f"{WELLS}, Glossary (seen); openings differ between sieve series, so sizes go in mm.",
    ),
    Term(
        marked("fineness"),
        marked(
            "Parts of pure gold in a thousand of all metal. Mineralogists count "
            "gold and silver alone."
        ),
        f"{WELLS}, Glossary (seen); Hough and others 2009, p. 297 (seen).",
    ),
    Term(
        marked("flood gold"),
        marked("Very fine gold carried far by floods. It makes the top of bars look rich."),
        f"{WELLS}, Part II sec. 5 (seen).",
    ),
    Term(
        marked("flour gold"),
        marked(
            "Gold so fine that 1,000 to 5,000 colours made a cent's worth at 35 dollars an ounce: "
            "about 2 to 10 micrograms each."
        ),
        f"{WELLS}, Part II sec. 5 (seen); masses computed.",
    ),
    Term(
        marked("grade"),
        marked("Milligrams of gold per loose litre, the same number as grams per cubic metre."),
    ),
    Term(
        marked("gross, tare, net"),
        marked("What the scale shows with the dish, the dish alone, the gold."),
        PRACTICE,
    ),
    Term(
        marked("hole"),
        marked("Ground disturbed, with its size, the days it was opened and filled, and photos."),
    ),
    Term(
        marked("hours"),
        marked(
            "Blocks of time by activity: drive, walk, test, strip, dig, run, clean "
            "up, fill in, rest."
        ),
    ),
    Term(
        marked("layer"),
        marked("Overburden, gravel, clay, false bedrock or bedrock, with its depth."),
    ),
    Term(
        marked("loose"),
        marked("Gravel as shovelled, panned and fed. Volumes on this site are loose."),
    ),
    Term(
        marked("mesh"),
        marked(
            "Openings of a sieve to the inch. Ten are 2.00 mm in one series and 1.65 mm in another."
        ),
        "Sieve tables (seen and memory); so sizes are kept in millimetres.",
    ),
    Term(marked("nugget"), marked("A piece large enough to be picked up by hand."), PRACTICE),
    Term(marked("outlay"), marked("Money that left a pocket, fuel included.")),
    Term(
        marked("overburden"), marked("What lies on the gravel that pays, stripped first."), PRACTICE
    ),
    Term(
        marked("pan"),
        marked(
            "A dish for washing gravel. One of 16 inches holds 336 cubic inches "
            "(5.5 L) level full; "
            "older practice knew pans of about half as much, so say litres."
        ),
        f"{WELLS}, Part V sec. 2b (seen).",
    ),
    Term(
        marked("pan factor"),
        marked("How many pans make a cubic yard in the bank. 150 to 200 in practice, often 180."),
        f"{WELLS}, Part V sec. 2b (seen). It follows from volume and swell; compute it.",
    ),
    Term(marked("paper"), marked("An authority that is held: licence, permit, claim, consent.")),
    Term(marked("party"), marked("The people who share one record; often one person.")),
    Term(
        marked("pay ladder"),
        marked("Four questions in a row: does it pay its fuel, its outlay, its wear, your hours?"),
    ),
    Term(
        marked("pay streak"),
        marked("The narrow band of gravel that holds most of the gold."),
        PRACTICE,
    ),
    Term(
        marked("pennyweight"),
        marked("24 grains, 1.555 g; twenty make a troy ounce."),
        "NIST Handbook 44, App. C (memory), confirmed by a units library.",
    ),
    Term(marked("placer"), marked("Gold in loose gravel, not in rock."), PRACTICE),
    Term(
        marked("raw gold"),
        marked("Gold as it comes from the creek, with silver and other metals in it."),
    ),
    Term(
        marked("recovery"),
        marked(
            "The part of the gold that a box keeps. 96 % of grains of 1 to 2.5 mm, "
            "20 % below 0.1 mm "
            "in one study; it is mostly set-up."
        ),
        "British Geological Survey WC/97/14, 1997 (seen second-hand); commercial boxes.",
    ),
    Term(
        marked("renewal record"), marked("The printed account of work under a paper over a period.")
    ),
    Term(
        marked("riffle"),
        marked("A bar across the floor of a box; behind it gold settles."),
        PRACTICE,
    ),
    Term(
        marked("rocker"),
        marked("A box rocked by hand. 1 to 3 cubic yards in the bank for one person in a shift."),
        "J. M. West, US Bureau of Mines I.C. 8517, 1971 (seen second-hand).",
    ),
    Term(
        marked("rule pack"),
        marked("The dated rules of one jurisdiction as a file, each with its source."),
    ),
    Term(
        marked("run"),
        marked("What was fed to a box between two clean-ups: gear, litres, minutes, colours."),
    ),
    Term(
        marked("site"),
        marked("A claim, a reach under a permit, a public area or private land that one visits."),
    ),
    Term(
        marked("sluice"),
        marked(
            "A box through which water carries gravel. Slopes from about 3 to 8 % "
            "are described for "
            "hand boxes."
        ),
        "Magazine pages of 1979 and later (seen); historic boxes 3 to 4 % (seen second-hand).",
    ),
    Term(
        marked("snipers"),
        marked("People who dug leftovers of worked ground by hand in the 1930s."),
        f"{WELLS}, Part II sec. 4 (seen).",
    ),
    Term(
        marked("spot"),
        marked("A place within a site where gravel is tried: inside bend, boulder, crevice."),
    ),
    Term(
        marked("swell"),
        marked("How much more room gravel takes when loosened: 12 to 40 %, about 17 % on average."),
        "A reference page (seen); trade figures vary.",
    ),
    Term(
        marked("tailings"),
        marked("What has been through a box. Old ones may still hold fine gold."),
        PRACTICE,
    ),
    Term(
        marked("test pan"),
        marked("One washed sample: litres, layer, colours by class or “not counted”."),
    ),
    Term(
        marked("troy ounce"),
        marked("480 grains, 31.1034768 g. Twelve make a troy pound."),
        "NIST SP 811, App. B.8 (memory), confirmed by a units library.",
    ),
    Term(
        marked("wear"),
        marked("Use of things already bought. A cost, though no money leaves a pocket that day."),
    ),
    Term(
        marked("weigh-in"),
        marked("Gross less tare on a scale of known step, over one or more runs and pans."),
    ),
)


def by_letter() -> tuple[tuple[str, tuple[Term, ...]], ...]:
    """The terms under their first letters, in the order of the alphabet."""
    said = [Term(say(one.word), say(one.meaning), say(one.source)) for one in TERMS]
    ordered = sorted(said, key=lambda term: term.word.casefold())
    return tuple(
        (letter, tuple(terms))
        for letter, terms in groupby(ordered, key=lambda term: term.word[0].upper())
    )
