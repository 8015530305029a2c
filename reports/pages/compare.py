"""The page "Is A better than B": two sites, spots or layers by belief, and by their pans alone."""

import datetime as dt
from dataclasses import dataclass

from django import forms
from django.utils.translation import gettext, gettext_lazy

from claims.models import Party
from reports.charts.plots import IntervalRow, interval_plot, percent
from reports.charts.scene import Figure
from reports.decide.comparing import CLEARLY_MORE, colours_to_tell, mix_better, say_better
from reports.selectors.belief import party_belief
from reports.selectors.compare import Thing, Things, things
from trips.calc.compare import RateTest, compare_rates
from trips.calc.words import marked, say

PART_OF = marked("One is part of the other: compare two spots, two layers or two sites.")
SAME = marked("Choose two different ones.")


class CompareForm(forms.Form):
    """Which two; a GET form."""

    a = forms.ChoiceField(
        label="A",
        error_messages={
            "invalid_choice": gettext_lazy("A isn't one of yours: choose from the list.")
        },
    )
    b = forms.ChoiceField(
        label="B",
        error_messages={
            "invalid_choice": gettext_lazy("B isn't one of yours: choose from the list.")
        },
    )
    as_of = forms.DateField(required=False, widget=forms.HiddenInput)

    def __init__(self, data, found: Things):
        asked = data if "a" in data or "b" in data else None
        super().__init__(asked, initial={"as_of": data.get("as_of")})
        if not data.get("as_of"):
            del self.fields["as_of"]
        options = [
            ("", "–"),
            (gettext("Spots"), [(thing.key, thing.name) for thing in found.spots]),
            (gettext("Layers"), [(thing.key, thing.name) for thing in found.layers]),
            (gettext("Sites"), [(thing.key, thing.name) for thing in found.sites]),
        ]
        for name in ("a", "b"):
            self.fields[name].choices = options
        self.found = found

    def clean(self):
        data = super().clean()
        one, other = (self.found.find(data.get(name, "")) for name in ("a", "b"))
        if one is None or other is None:
            return data
        if one == other:
            raise forms.ValidationError(say(SAME))
        if one.site_id == other.site_id and one.kind != other.kind:
            whole = one.kind == "site" or other.kind == "site" or one.spot_id == other.spot_id
            if whole:
                raise forms.ValidationError(say(PART_OF))
        return data


@dataclass(frozen=True)
class Side:
    """One side: its name, its pans, its believed rate with an 80 % range."""

    letter: str
    thing: Thing
    mean: float
    low: float
    high: float


@dataclass(frozen=True)
class Comparison:
    """The answer. chance, clear: that the better one is so, and by half as much again."""

    a: Side
    b: Side
    better: Side
    other: Side
    chance: float
    clear: float
    words: str
    chance_words: str
    clear_words: str
    test: RateTest | None
    test_words: str
    need: str
    figure: Figure | None

    @property
    def sides(self) -> tuple[Side, Side]:
        return self.a, self.b

    @property
    def has_layer(self) -> bool:
        return any(side.thing.kind == "layer" for side in self.sides)


@dataclass(frozen=True)
class ComparePage:
    """Everything that the template shows."""

    form: CompareForm
    answer: Comparison | None
    has_things: bool


def compare_page(party: Party, data, as_of: dt.date) -> ComparePage:
    """The page for what an address asks; an answer only for two that can be compared."""
    found = things(party, as_of)
    form = CompareForm(data, found)
    has_things = len(found.spots) > 1
    if not form.is_bound or not form.is_valid():
        return ComparePage(form, None, has_things)
    one, other = (found.find(form.cleaned_data[name]) for name in ("a", "b"))
    return ComparePage(form, compared(one, other, party, as_of), has_things)


def compared(one: Thing, other: Thing, party: Party, as_of: dt.date) -> Comparison:
    """Two things by the party's belief of a day, with the test on their pans alone beside it."""
    belief = party_belief(party, as_of)
    mixes = [one.mix(belief), other.mix(belief)]
    same_site = one.site_id == other.site_id
    sides = [
        Side(letter, thing, mix.mean(), mix.quantile(0.1), mix.quantile(0.9))
        for letter, thing, mix in zip("AB", (one, other), mixes, strict=True)
    ]
    chance = mix_better(mixes[0], mixes[1], 1.0, same_site)
    if chance < 0.5:
        mixes.reverse()
    better, worse = sides if chance >= 0.5 else sides[::-1]
    clear = mix_better(mixes[0], mixes[1], CLEARLY_MORE, same_site)
    chance = max(chance, 1 - chance)
    test = compare_rates(
        one.counted.colours, one.counted.litres, other.counted.colours, other.counted.litres
    )
    return Comparison(
        a=sides[0],
        b=sides[1],
        better=better,
        other=worse,
        chance=chance,
        clear=clear,
        words=_words(better, worse, chance),
        chance_words=percent(chance),
        clear_words=percent(clear),
        test=test,
        test_words=_test_words(test),
        need=_need(sides),
        figure=_figure(sides, better, chance),
    )


def _words(better: Side, worse: Side, chance: float) -> str:
    how = say_better(chance)
    one, two = better.thing.name, worse.thing.name
    if how == "cannot tell":
        return gettext("Can't tell which is better: {one} or {two}").format(one=one, two=two)
    if how == "leaning":
        return gettext("Leaning to {one} over {two}").format(one=one, two=two)
    return gettext("{one} is {how} better than {two}").format(one=one, how=say(how), two=two)


def _test_words(test: RateTest | None) -> str:
    if test is None:
        return gettext("No test: at least one of them has no counted pan with its litres.")
    if test.ratio is None:
        return gettext("No colour at either: the pans alone say nothing.")
    low, high = test.ratio.low, test.ratio.high
    top = gettext("any number of") if high == float("inf") else f"{high:.2f}"
    return gettext(
        "By the pans alone, equal rates would show a difference like this with "
        "mid-p {mid_p:.3f} (exact {exact_p:.3f}); A's rate is {low:.2f} to "
        "{top} times B's (95 %). This takes colours as independent: clumped "
        "gold makes it too sure."
    ).format(mid_p=test.mid_p, exact_p=test.exact_p, low=low, top=top)


def _need(sides: list[Side]) -> str:
    parts = []
    for ratio in (2.0, 3.0):
        poorer, richer = colours_to_tell(ratio)
        parts.append(
            gettext("{ratio:.0f} to 1: about {poorer:.0f} and {richer:.0f}").format(
                ratio=ratio, poorer=poorer, richer=richer
            )
        )
    have = " and ".join(str(side.thing.counted.colours) for side in sides)
    return gettext(
        "Colours that it takes to tell two rates apart by pans alone, in equal "
        "litres: {parts}. You have {have}."
    ).format(parts="; ".join(parts), have=have)


def _figure(sides: list[Side], better: Side, chance: float) -> Figure | None:
    return interval_plot(
        [
            IntervalRow(
                f"{side.letter}. {side.thing.name}",
                side.low,
                side.mean,
                side.high,
                gettext("{pans} pans").format(pans=side.thing.counted.pans),
            )
            for side in sides
        ],
        title=gettext("Colours a litre, believed"),
        desc=gettext(
            "{name} is the better one with a chance of {chance}. Dot: mean. Bar: 80 % range."
        ).format(name=better.thing.name, chance=percent(chance)),
        unit=say("colours a litre"),
        sign=False,
    )
