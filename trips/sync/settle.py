"""What concerns a trip's field records together: their order, full days, the phone's clock."""

from django.db.models import Max

from claims.web import show
from trips.calc.words import say, several
from trips.models import FieldRecord, HoursBlock, Run, TestPan, Trip
from trips.services.records import DAY_MINUTES, day_sums

CLOCK_IS_OFF_S = 600
FULL_DAY = "day_sum"
State = FieldRecord.State


def clock_words(ahead_s: int) -> str:
    """How far a phone's clock was off, in words; empty while it is near enough."""
    if abs(ahead_s) < CLOCK_IS_OFF_S:
        return ""
    hours, minutes = divmod(round(abs(ahead_s) / 60), 60)
    days, hours = divmod(hours, 24)
    parts = [
        (days, several("{n} day", "{n} days", days)),
        (hours, f"{hours} h"),
        (minutes, f"{minutes} min"),
    ]
    # Two words are enough to know what happened.
    words = " ".join([said for number, said in parts if number][:2])
    if ahead_s > 0:
        return say("The phone's clock was {words} ahead when it sent this.", words=words)
    return say("The phone's clock was {words} behind when it sent this.", words=words)


def renumber(trip: Trip) -> None:
    """Number pans and runs from phones in the order they were made, after those of the desk."""
    for kind, model in (("pan", TestPan), ("run", Run)):
        records = FieldRecord.objects.filter(party_id=trip.party_id, kind=kind, trip=trip)
        made = dict(records.values_list("uuid", "made_at"))
        if not made:
            continue
        own = model.objects.filter(trip=trip)
        last = own.exclude(uuid__in=made).aggregate(last=Max("sequence"))["last"] or 0
        sent = list(own.filter(uuid__in=made))
        sent.sort(key=lambda row: (row.day, made[row.uuid], str(row.uuid)))
        for number, row in enumerate(sent, start=last + 1):
            if row.sequence != number:
                row.sequence = number
                row.save(update_fields=["sequence"])


def flag_full_days(trip: Trip) -> None:
    """Ask about days of more than 24 hours: every block of them stays, and is asked about.

    Which of the blocks is wrong can't be told from their order of arrival.
    """
    records = {
        record.uuid: record
        for record in FieldRecord.objects.filter(
            party_id=trip.party_id, kind="hours", trip=trip, state__in=(State.APPLIED, State.LOOK)
        )
    }
    if not records:
        return
    blocks = list(HoursBlock.objects.filter(trip=trip).select_related("person"))
    full = [(day, who, total) for day, who, total in day_sums(blocks) if total > DAY_MINUTES]
    for block in blocks:
        record = records.get(block.uuid)
        if record is None or (record.state == State.LOOK and record.about != FULL_DAY):
            continue
        mine = [
            (day, who, total)
            for day, who, total in full
            if day == block.day and (block.person is None or block.person.name == who)
        ]
        state, reason = State.APPLIED, ""
        if mine:
            day, who, total = mine[0]
            state = State.LOOK
            reason = say(
                "That makes {total} on {day} for {who}; a day has 24. Shorten or remove a block.",
                total=show.minutes(total),
                day=show.day(day),
                who=who,
            )
        if (record.state, record.reason) != (state, reason):
            record.state, record.reason = state, reason
            record.about = FULL_DAY if mine else ""
            record.save(update_fields=["state", "reason", "about"])
