"""The pages of help: which there are, in which order. Every link to one goes by its key.

They stand down here because pages of all three apps link to them; their texts and examples are in
`reports.help`.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Topic:
    """One idea explained on a page of its own; `asks` is the question that it answers."""

    key: str
    title: str
    asks: str


GROUPS: tuple[tuple[str, tuple[Topic, ...]], ...] = (
    (
        "Choosing a place",
        (
            Topic(
                "ranking",
                "How the ranking works",
                "Why does one creek stand above another, and is a look worth the trip?",
            ),
            Topic(
                "belief",
                "Belief and borrowed evidence",
                "What do few pans say of a spot, and what does a flood leave of it?",
            ),
            Topic(
                "interval",
                "What an interval means",
                "How sure is a figure, and is one spot really better than another?",
            ),
        ),
    ),
    (
        "At the creek",
        (
            Topic(
                "stopping",
                "Keep panning, dig or move",
                "After how many pans and colours does one stop testing?",
            ),
            Topic("leaving", "When to leave a hole", "When has a hole stopped paying?"),
            Topic("cautions", "The usual cautions", "What can hurt somebody at this work?"),
        ),
    ),
    (
        "Gold and money",
        (
            Topic(
                "split",
                "How a weigh-in is shared out",
                "Which part of what was weighed together came from which run?",
            ),
            Topic("colours", "From colours to milligrams", "What does a colour weigh?"),
            Topic("units", "Units, grade and swell", "What is a litre of gravel in the bank?"),
            Topic("value", "What gold is worth", "What is it worth, and how much of it pays?"),
            Topic("cost", "What a trip costs", "Where do fuel, outlay and wear come from?"),
            Topic("ladder", "The pay ladder", "Does it pay for its fuel, outlay, wear and hours?"),
            Topic(
                "mean",
                "Why the mean per trip misleads",
                "Why is the return all net over all hours?",
            ),
        ),
    ),
    (
        "Rules, ground and record",
        (
            Topic("rules", "How rules are judged", "Where do stop, do, ask and know come from?"),
            Topic(
                "ground",
                "Ground disturbed and restored",
                "How are area and volume of holes worked out?",
            ),
            Topic(
                "record",
                "What the record keeps",
                "What is stored, what is worked out, and how does it leave?",
            ),
            Topic("glossary", "Words of the trade", "What is a pan factor, a riffle, swell?"),
        ),
    ),
)
TOPICS = {topic.key: topic for _, topics in GROUPS for topic in topics}
