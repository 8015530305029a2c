"""The pages of help: which there are, in which order. Every link to one goes by its key.

They stand down here because pages of all three apps link to them; their texts and examples are in
`reports.help`.
"""

from dataclasses import dataclass

from django.utils.translation import gettext_lazy


@dataclass(frozen=True)
class Topic:
    """One idea explained on a page of its own; `asks` is the question that it answers."""

    key: str
    title: str
    asks: str


GROUPS: tuple[tuple[str, tuple[Topic, ...]], ...] = (
    (
        gettext_lazy("Choosing a place"),
        (
            Topic(
                "ranking",
                gettext_lazy("How the ranking works"),
                gettext_lazy(
                    "Why does one creek stand above another, and is a look worth the trip?"
                ),
            ),
            Topic(
                "belief",
                gettext_lazy("Belief and borrowed evidence"),
                gettext_lazy("What do few pans say of a spot, and what does a flood leave of it?"),
            ),
            Topic(
                "interval",
                gettext_lazy("What an interval means"),
                gettext_lazy("How sure is a figure, and is one spot really better than another?"),
            ),
        ),
    ),
    (
        gettext_lazy("At the creek"),
        (
            Topic(
                "stopping",
                gettext_lazy("Keep panning, dig or move"),
                gettext_lazy("After how many pans and colours does one stop testing?"),
            ),
            Topic(
                "leaving",
                gettext_lazy("When to leave a hole"),
                gettext_lazy("When has a hole stopped paying?"),
            ),
            Topic(
                "cautions",
                gettext_lazy("The usual cautions"),
                gettext_lazy("What can hurt somebody at this work?"),
            ),
        ),
    ),
    (
        gettext_lazy("Gold and money"),
        (
            Topic(
                "split",
                gettext_lazy("How a weigh-in is shared out"),
                gettext_lazy("Which part of what was weighed together came from which run?"),
            ),
            Topic(
                "colours",
                gettext_lazy("From colours to milligrams"),
                gettext_lazy("What does a colour weigh?"),
            ),
            Topic(
                "units",
                gettext_lazy("Units, grade and swell"),
                gettext_lazy("What is a litre of gravel in the bank?"),
            ),
            Topic(
                "value",
                gettext_lazy("What gold is worth"),
                gettext_lazy("What is it worth, and how much of it pays?"),
            ),
            Topic(
                "cost",
                gettext_lazy("What a trip costs"),
                gettext_lazy("Where do fuel, outlay and wear come from?"),
            ),
            Topic(
                "ladder",
                gettext_lazy("The pay ladder"),
                gettext_lazy("Does it pay for its fuel, outlay, wear and hours?"),
            ),
            Topic(
                "mean",
                gettext_lazy("Why the mean per trip misleads"),
                gettext_lazy("Why is the return all net over all hours?"),
            ),
        ),
    ),
    (
        gettext_lazy("Rules, ground and record"),
        (
            Topic(
                "rules",
                gettext_lazy("How rules are judged"),
                gettext_lazy("Where do stop, do, ask and know come from?"),
            ),
            Topic(
                "ground",
                gettext_lazy("Ground disturbed and restored"),
                gettext_lazy("How are area and volume of holes worked out?"),
            ),
            Topic(
                "record",
                gettext_lazy("What the record keeps"),
                gettext_lazy("What is stored, what is worked out, and how does it leave?"),
            ),
            Topic(
                "glossary",
                gettext_lazy("Words of the trade"),
                gettext_lazy("What is a pan factor, a riffle, swell?"),
            ),
        ),
    ),
)
TOPICS = {topic.key: topic for _, topics in GROUPS for topic in topics}
