"""What no table of the exports holds, and why."""

from trips.calc.words import marked

# Model → what people call it, and why it stays here.
LEFT_OUT = {
    "claims.User": (
        marked("Log-ins"),
        marked("they belong to persons with their passwords, not to the party's record"),
    ),
    "claims.Membership": (
        marked("Who may sign in"),
        marked("it is shown on the party's page with its changes and is no part of the record"),
    ),
    "claims.Job": (
        marked("Work in the background"),
        marked("it is kept for a few days and can be asked for again"),
    ),
    "claims.PartyPack": (
        marked("Uploaded rule packs"),
        marked("each is a file of its own and can be had whole from its page"),
    ),
    "trips.SignOff": (
        marked("Sign-offs"),
        marked(
            "each is a whole checklist in its own words, shown on its page and kept in the backup"
        ),
    ),
    "claims.CalendarFeed": (
        marked("The calendar's address"),
        marked("it is a secret; make a new one where it is wanted"),
    ),
    "claims.Invitation": (
        marked("Invitations"),
        marked("they hold secrets of links that still open a door"),
    ),
    "trips.FieldEntry": (
        marked("Entries as phones sent them"),
        marked(
            "they are the way in, kept to tell a repeat from a new one; what "
            "they say is in the tables"
        ),
    ),
    "trips.FieldRecord": (
        marked("What became of phones' entries"),
        marked("it is worked out from the entries and shown under Needs a look"),
    ),
    "trips.ImportBatch": (
        marked("Uploaded sheets"),
        marked(
            "they are copies of files on their way in; what was taken from them is in the tables"
        ),
    ),
}
