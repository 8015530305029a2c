"""Figures of the packs of the United States and Scotland."""

from datetime import date

from tests.rules.figures import figure

FIGURES = [
    figure(
        "Idaho Department of Water Resources: nozzle 5 inches or less (seen)",
        "us-id/dredge-nozzle",
        "at_most",
        "5 in",
    ),
    figure(
        "Idaho Department of Water Resources: 15 hp or less (seen)",
        "us-id/dredge-power",
        "at_most",
        "15 hp",
    ),
    figure(
        "Idaho Department of Water Resources: no more than 2 cubic yards an hour (seen)",
        "us-id/dredge-throughput",
        "at_most",
        "2 yd3/h",
    ),
    figure("Idaho Code 47-1313(e): above 8 inches (seen)", "us-id/big-intake", "over", "8 in"),
    figure(
        "IDWR permit forms: South Fork Clearwater by 1 June (seen)",
        "us-id/clearwater-deadline",
        "by",
        "06-01",
    ),
    figure(
        "IDWR permit forms: McCoy Creek 1 April to 1 July 2024 (seen)",
        "us-id/mccoy-deadline",
        "window",
        "2024-04-01..2024-07-01",
    ),
    figure(
        "Oregon DSL page: 50 cubic yards or more (seen)", "us-or/volume-permit", "under", "50 yd3"
    ),
    figure(
        "Oregon DSL page: less than 25 cubic yards (seen)", "us-or/habitat-cap", "under", "25 yd3"
    ),
    figure(
        "Oregon DSL page: less than 25 cubic yards (seen)",
        "us-or/habitat-cap-party",
        "at_least",
        "25 yd3",
    ),
    figure("Oregon DSL page: 28 February (seen)", "us-or/habitat-report", "on", "02-28"),
    figure(
        "OAR 141-100-0035: under 1 cubic yard a site (seen in a copy)",
        "us-or/scenic-site",
        "under",
        "1 yd3",
    ),
    figure(
        "OAR 141-100-0035: at most 5 cubic yards a year (seen in a copy)",
        "us-or/scenic-year",
        "at_most",
        "5 yd3",
    ),
    figure(
        "ORS 468B.116: hose at most 4 inches inside (seen in a copy)",
        "us-or/motor-hose",
        "at_most",
        "4 in",
    ),
    figure(
        "ORS 468B.116: within 1,000 ft (seen in a copy)", "us-or/motor-hours", "at_most", "1000 ft"
    ),
    figure(
        "AB 1032 digest: within 100 yards (seen in a copy)", "us-ca/possession", "at_most", "100 yd"
    ),
    figure(
        "43 CFR 3809.31: 15 calendar days (seen in a copy)", "us-fed/special-areas", "lead_days", 15
    ),
    figure(
        "BLM placer form: no more than 2 cubic yards a day (seen in a copy)",
        "us-fed/form-volume",
        "at_most",
        "2 yd3",
    ),
    figure(
        "BLM placer form: at least 2 ft (seen in a copy)", "us-fed/form-banks", "at_least", "2 ft"
    ),
    figure("BLM placer form: within 14 days (seen in a copy)", "us-fed/form-fill", "days", 14),
    figure(
        "BLM placer form: 14 days in any 30 (seen in a copy)",
        "us-fed/form-camp",
        "at_most",
        "14 days",
    ),
    figure(
        "BLM placer form: 14 days in any 30 (seen in a copy)", "us-fed/form-camp", "hours", 30 * 24
    ),
    figure(
        "BLM announcement of 2024-06-28: 200 dollars (seen)", "us-fed/fee", "amount_minor", 20000
    ),
    figure(
        "BLM announcement of 2024-06-28: 165 before (seen)", "us-fed/fee-old", "amount_minor", 16500
    ),
    figure(
        "BLM announcement of 2024-06-28: each 20 acres or part (seen)",
        "us-fed/fee",
        "unit_size",
        "20 acre",
    ),
    figure("BLM announcement of 2024-06-28: 1 September (seen)", "us-fed/fee-day", "on", "09-01"),
    figure("43 CFR 3835.16: 30 December (seen in a copy)", "us-fed/affidavit", "on", "12-30"),
    figure(
        "43 CFR 3836.11: 100 dollars a claim (seen in a copy)",
        "us-fed/affidavit",
        "work_minor",
        10000,
    ),
    figure(
        "SEPA gold panning position: 1 November to 31 May (seen in a copy)",
        "uk-sct/season",
        "within",
        "11-01..05-31",
    ),
    figure(
        "SEPA gold panning position: not within 50 m (seen in a copy)",
        "uk-sct/mussels",
        "over",
        "50 m",
    ),
    figure(
        "Alaska DNR uses of State land: 6 inches or less (seen in a copy)",
        "us-ak/dredge-intake",
        "at_most",
        "6 in",
    ),
    figure(
        "Alaska DNR uses of State land: 18 hp or less (seen in a copy)",
        "us-ak/dredge-power",
        "at_most",
        "18 hp",
    ),
    figure(
        "Alaska DNR uses of State land: 30,000 gallons a day (seen in a copy)",
        "us-ak/dredge-water",
        "at_most",
        "30000 us_gal/day",
    ),
    figure(
        "ADF&G small scale mining permits: 6 inches or less (seen)",
        "us-ak/habitat-nozzle",
        "at_most",
        "6 in",
    ),
    figure(
        "ADF&G small scale mining permits: 18 hp or less (seen)",
        "us-ak/habitat-power",
        "at_most",
        "18 hp",
    ),
    figure(
        "Alaska DNR fact sheet: 14 days at one site (seen in a copy)",
        "us-ak/camp-days",
        "at_most",
        "14 days",
    ),
    figure(
        "Utah dredging permit conditions: nozzle over 4 inches (seen)",
        "us-ut/nozzle",
        "at_most",
        "4 in",
    ),
    figure("Utah dredging permit conditions: over 12 hp (seen)", "us-ut/power", "at_most", "12 hp"),
    figure(
        "Utah dredging permit conditions: not more than four people (seen)",
        "us-ut/people",
        "at_most",
        "4 people",
    ),
    figure(
        "Medicine Bow leaflet: 1 July to 10 September (seen in a copy)",
        "us-nf/bow-season",
        "within",
        "07-01..09-10",
    ),
    figure(
        "Medicine Bow leaflet: 3 inches or less (seen in a copy)",
        "us-nf/bow-nozzle",
        "at_most",
        "3 in",
    ),
    figure(
        "Medicine Bow leaflet: 10 hp or less (seen in a copy)",
        "us-nf/bow-power",
        "at_most",
        "10 hp",
    ),
    figure(
        "Medicine Bow leaflet: at least 100 ft (seen in a copy)",
        "us-nf/bow-plant",
        "at_least",
        "100 ft",
    ),
    figure(
        "Medicine Bow leaflet: 300 ft apart (seen in a copy)",
        "us-nf/bow-apart",
        "at_least",
        "300 ft",
    ),
    figure(
        "ORS 468B.116: earlier of 8 p.m. or sunset until 8 a.m. (seen in a copy)",
        "us-or/motor-hours",
        "within",
        "earlier(20:00, sunset)..08:00",
    ),
    figure("43 CFR 3835.10: 1 September (seen in a copy)", "us-fed/waiver", "on", "09-01"),
    figure(
        "BLM announcement of 2024-06-28: each 20 acres or part (seen)",
        "us-fed/fee-old",
        "unit_size",
        "20 acre",
    ),
    figure(
        "BLM announcement of 2024-06-28: from 1 September 2024 (seen)",
        "us-fed/fee-old",
        "valid_to",
        date(2024, 8, 31),
    ),
    figure(
        "BLM announcement of 2024-06-28: from 1 September 2024 (seen)",
        "us-fed/fee",
        "valid_from",
        date(2024, 9, 1),
    ),
    figure(
        "California Department of Fish and Wildlife, Current status: since 1 January 2016 (seen)",
        "us-ca/motors",
        "valid_from",
        date(2016, 1, 1),
    ),
    *(
        figure(
            "US EPA, Idaho suction dredge general permit: cover ended on 31 May 2023 (seen)",
            "us-id/discharge-term",
            name,
            date(2023, 5, 31),
        )
        for name in ("fixed_day", "valid_to")
    ),
    *(
        figure("IDWR permit forms: 2024 season (seen)", rule, name, day)
        for rule in ("us-id/clearwater-deadline", "us-id/mccoy-deadline")
        for name, day in (("valid_from", date(2024, 1, 1)), ("valid_to", date(2024, 12, 31)))
    ),
]
