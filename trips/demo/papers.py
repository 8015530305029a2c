"""The papers held in the demo's district, their conditions and the duties that come with them."""

import datetime as dt


def _line(kind, text, **more):
    return {"kind": kind, "text": text, **more}


def _mark(day, state, how, evidence):
    return {"day": day, "state": state, "how": how, "evidence": evidence, "said_by": "Robin Vayle"}


PAPERS = (
    {
        "kind": "licence",
        "name": "District gold washing licence",
        "rule_code": "velmarrow/washing_licence",
        "number": "VD-2214",
        "holder": "Robin Vayle",
        "issuer": "Velmarrow District Office (invented)",
        "issued_on": dt.date(2030, 4, 1),
        "expires_on": dt.date(2032, 3, 31),
        "term_convention": "from_issue",
        "term_span": "P2Y",
        "term_first_day": "counts",
        "renew_from_span": "P6M",
        "apply_by_span": "P2M",
        "renewal_lead_days": 60,
        "conditions": "Pan, hand tools and one sluice a person. Report what was moved each year.",
        "lines": [
            _line(
                "gear",
                "Pan, hand tools and one sluice a person.",
                marks=[
                    _mark(
                        dt.date(2031, 9, 28),
                        "kept",
                        "The engine box stayed on the claim all season; one sluice each elsewhere.",
                        "The gear noted with each trip",
                    )
                ],
            ),
            _line("report", "Report what was moved each year.", due_words="by the end of February"),
            _line(
                "fill_in",
                "Holes on public reaches filled before leaving.",
                fill_due="leaving",
                marks=[
                    _mark(
                        dt.date(2031, 9, 28),
                        "kept",
                        "Each was filled on the day it was dug, or before the party drove home.",
                        "The record of holes",
                    )
                ],
            ),
        ],
        "fee_minor": 4800,
        "fee_spread": "trips",
        "sites": [
            "Velmarrow middle reach",
            "Velmarrow weir reach",
            "Pelquin common",
            "Drennock bends",
            "Skelvane gorge",
        ],
    },
    {
        "kind": "claim",
        "name": "Ossaline claim",
        "rule_code": "velmarrow/claim",
        "number": "OC-118",
        "holder": "Robin Vayle",
        "issuer": "Velmarrow District Office (invented)",
        "issued_on": dt.date(2029, 11, 1),
        "expires_on": dt.date(2031, 10, 31),
        "renewal_lead_days": 60,
        "renew_from_span": "P3M",
        "apply_by_on": dt.date(2031, 10, 17),
        "conditions": "One engine pump up to 3 hp. Holes filled by the end of October. "
        "Renewal asks for days on site, hours, gravel moved and gold found.",
        "lines": [
            _line(
                "gear",
                "One engine pump up to 3 hp.",
                marks=[
                    _mark(
                        dt.date(2031, 5, 31),
                        "kept",
                        "One pump of 2.5 hp, on its plate.",
                        "Photo of the plate, 31 May 2031",
                    )
                ],
            ),
            _line(
                "fill_in",
                "Holes filled by the end of October.",
                due_words="31 October every year",
                fill_due="fixed",
                fill_by="10-31",
                marks=[
                    _mark(
                        dt.date(2030, 10, 26),
                        "kept",
                        "All holes of 2030 were filled on the day they were dug.",
                        "The record of holes",
                    ),
                    _mark(
                        dt.date(2031, 10, 11),
                        "asked",
                        "All but the hole of this day are filled. Asked whether it can stay until "
                        "the last trip of October.",
                        "Telephone call of 11 Oct 2031",
                    ),
                ],
            ),
            _line(
                "report",
                "Renewal asks for days on site, hours, gravel moved and gold found.",
                due_words="with the renewal",
                marks=[
                    _mark(
                        dt.date(2031, 10, 11),
                        "kept",
                        "This record lists them; it goes in with the application.",
                        "The renewal record",
                    )
                ],
            ),
            _line("work", "At least 40 hours of work a claim year."),
        ],
        "fee_minor": 12000,
        "fee_spread": "term",
        "sites": ["Ossaline claim"],
    },
    {
        "kind": "permit",
        "name": "Middle reach permit 2030",
        "rule_code": "velmarrow/reach_permit",
        "number": "MR-30-077",
        "holder": "Robin Vayle",
        "issuer": "Velmarrow River Board (invented)",
        "issued_on": dt.date(2030, 4, 1),
        "expires_on": dt.date(2031, 3, 31),
        "renewal_lead_days": 30,
        "conditions": "Hand tools and a stream-fed sluice. No engines.",
        "fee_minor": 3000,
        "fee_spread": "trips",
        "sites": ["Velmarrow middle reach"],
    },
    {
        "kind": "permit",
        "name": "Middle reach permit 2031",
        "rule_code": "velmarrow/reach_permit",
        "number": "MR-31-052",
        "holder": "Robin Vayle",
        "issuer": "Velmarrow River Board (invented)",
        "issued_on": dt.date(2031, 4, 1),
        "expires_on": dt.date(2032, 3, 31),
        "renewal_lead_days": 30,
        "conditions": "Hand tools and a stream-fed sluice. No engines.",
        "fee_minor": 3200,
        "fee_spread": "trips",
        "sites": ["Velmarrow middle reach"],
    },
    {
        "kind": "permit",
        "name": "Weir reach permit",
        "rule_code": "velmarrow/reach_permit",
        "number": "WR-30-019",
        "holder": "Mika Tornell",
        "issuer": "Velmarrow River Board (invented)",
        "issued_on": dt.date(2030, 4, 15),
        "expires_on": dt.date(2031, 12, 31),
        "renewal_lead_days": 60,
        "conditions": "Hand tools and a stream-fed sluice. Not below the marker posts.",
        "fee_minor": 4000,
        "fee_spread": "trips",
        "sites": ["Velmarrow weir reach"],
    },
    {
        "kind": "consent",
        "name": "Consent of Edda Marrable",
        "holder": "Robin Vayle and Mika Tornell",
        "issuer": "Edda Marrable",
        "issued_on": dt.date(2030, 5, 20),
        "renewal_lead_days": 60,
        "conditions": "Call the evening before. Fill every hole, shut the gate. No end is written.",
        "lines": [
            _line("report", "Call the evening before."),
            _line("fill_in", "Fill every hole, shut the gate.", fill_due="same_day"),
        ],
        "fee_spread": "none",
        "sites": ["Marrable meadow"],
    },
    {
        "kind": "licence",
        "name": "District gold washing licence of Mika",
        "number": "VD-2390",
        "holder": "Mika Tornell",
        "issuer": "Velmarrow District Office (invented)",
        "issued_on": dt.date(2031, 3, 3),
        "term_convention": "year_end",
        "apply_by_span": "P1M",
        "renewal_lead_days": 60,
        "conditions": "",
        "fee_spread": "none",
        "sites": ["Velmarrow middle reach", "Velmarrow weir reach"],
    },
    {
        "kind": "permit",
        "name": "Commoners' ticket",
        "number": "PT-31-06",
        "holder": "Robin Vayle and Jonna Feldquist",
        "issuer": "Pelquin Commoners (invented)",
        "issued_on": dt.date(2031, 7, 5),
        "term_convention": "cycle",
        "cycle_end": "06-30",
        "renewal_lead_days": 30,
        "conditions": "Pans only. Fill what you dig the same day.",
        "fee_spread": "none",
        "sites": ["Pelquin common"],
    },
    {
        "kind": "licence",
        "name": "Washers' card",
        "number": "0417",
        "holder": "Robin Vayle",
        "issuer": "Velmarrow Washers' Guild (invented)",
        "issued_on": dt.date(2028, 2, 29),
        "term_convention": "life",
        "renewal_lead_days": 60,
        "conditions": "",
        "fee_spread": "none",
        "sites": [],
    },
)

CLAIM, LICENCE = ("Ossaline claim", "OC-118"), ("District gold washing licence", "VD-2214")
# Code, what is due, and which due days are settled: (due on, done on, evidence).
DUTIES = (
    {
        "code": "licence-report",
        "kind": "report",
        "title": "Report what was moved",
        "paper": LICENCE,
        "line": 2,
        "first_due": dt.date(2031, 2, 28),
        "repeat": "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=-1;UNTIL=20320331",
        "lead_span": "P1M",
        "send_to": "Velmarrow District Office (invented)",
        "source": "Condition 2 of the licence",
        "settled": [
            {
                "due_on": dt.date(2031, 2, 28),
                "done_on": dt.date(2031, 2, 16),
                "evidence": "Letter of 16 Feb 2031, receipt VD-R-0093",
                "said_by": "Robin Vayle",
            }
        ],
    },
    {
        "code": "claim-work",
        "kind": "work",
        "title": "40 hours of work on the claim",
        "paper": CLAIM,
        "line": 4,
        "first_due": dt.date(2030, 10, 31),
        "repeat": "FREQ=YEARLY;UNTIL=20311031",
        "lead_span": "P2M",
        "measure": "hours",
        "work_amount": 2400,
        "source": "Condition 4 of the claim",
        "settled": [
            {
                "due_on": dt.date(2030, 10, 31),
                "done_on": dt.date(2030, 10, 26),
                "evidence": "Renewal record of 26 Oct 2030, handed in",
                "said_by": "Robin Vayle",
            }
        ],
    },
    {
        "code": "claim-fee",
        "kind": "fee",
        "title": "Rent of the claim, second half",
        "paper": CLAIM,
        "first_due": dt.date(2031, 10, 1),
        "lead_span": "P14D",
        "send_to": "Velmarrow District Office (invented)",
        "source": "Letter with the claim, 1 Nov 2029",
    },
    {
        "code": "gate",
        "kind": "other",
        "title": "Bring Edda the key of the gate",
        "site": "Marrable meadow",
        "first_due": dt.date(2031, 11, 15),
        "due_time": dt.time(12, 0),
        "lead_span": "P7D",
        "send_to": "Edda Marrable",
    },
)
