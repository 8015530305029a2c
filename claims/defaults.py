"""Where each starting value comes from, in words that stand beside it."""

from django.utils.translation import gettext_lazy

FINENESS = gettext_lazy(
    "885 is the average of placer gold in California: J. H. Wells, Placer Examination, US BLM "
    "Technical Bulletin 4, 1969, glossary “Fineness” (seen). Put in your own assay when you "
    "have one."
)
PAYABLE = gettext_lazy(
    "100 % takes nothing off. Buyers are said to pay finders 70 to 95 % of the contained value "
    "(from memory, no source found): ask yours."
)
PAN_VOLUME = gettext_lazy(
    "Level full. A 16-inch pan holds 5.5 L (J. H. Wells, Placer Examination, 1969, part V, "
    "sec. 2b, seen); a 12-inch pan about 2.5 L, computed from its sizes there."
)
FUEL_PRICE = gettext_lazy(
    "What a litre costs where you fill up. Empty is unknown: trips then ask for it."
)
HOURLY = gettext_lazy(
    "What an hour of your own time should bring. Your own figure; leave it empty if time off "
    "has no price."
)
COLOUR_WORDS = gettext_lazy(
    "Say what coarse, medium and fine look like, so that everybody counts alike. A size of match "
    "head and sugar grain is a start of our own."
)
COLOUR_MASS = gettext_lazy(
    "12, 2.5 and 0.5 mg a colour are starting values of our own, near the published 12 000 "
    "colours a troy ounce for fine gold (2.59 mg) and 40 000 for very fine (0.78 mg), from a "
    "Washington State bulletin (seen second-hand). Your weigh-ins correct them later."
)
CURRENCY = gettext_lazy(
    "Three letters. Starts as EUR. It can't change once amounts are recorded in it."
)
TIME_ZONE = gettext_lazy(
    "Says which day it is for you. Starts as what your browser says, else as UTC."
)
PHOTO_PLACE = gettext_lazy(
    "Off: photos lose place and time when they come in. Switching it off later erases what was "
    "kept; photos that are here already don't get it back."
)
