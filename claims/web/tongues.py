"""Which language and which region's manner a person reads; the lists behind *My settings*."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal
from functools import cache

from django.conf import settings
from django.utils.translation import gettext, gettext_lazy

from trips.calc import local

# Where people have gold in creeks, and where they speak of it; any other region of CLDR is one
# more word here.
_OFFERED = gettext_lazy(
    """
af_ZA am_ET ar_AE ar_EG ar_MA bg_BG bn_IN ca_ES cs_CZ cy_GB da_DK de_AT de_CH de_DE el_GR en_AU
en_CA en_GB en_IE en_IN en_NZ en_US en_ZA es_AR es_BO es_CL es_CO es_ES es_MX es_PE et_EE eu_ES
fa_IR fi_FI fil_PH fr_BE fr_CA fr_CH fr_FR ga_IE gd_GB he_IL hi_IN hr_HR hu_HU hy_AM id_ID is_IS
it_CH it_IT ja_JP ka_GE kk_KZ km_KH ko_KR ky_KG lo_LA lt_LT lv_LV mi_NZ mn_MN ms_MY my_MM nb_NO
ne_NP nl_BE nl_NL pl_PL pt_BR pt_PT ro_RO ru_RU sk_SK sl_SI sr_RS sv_FI sv_SE sw_TZ ta_IN th_TH
tr_TR uk_UA ur_PK uz_UZ vi_VN zh_CN zh_TW zu_ZA
"""
)
REGIONS = tuple(_OFFERED.split())
_DAY = dt.date(2031, 5, 3)
_NUMBER = Decimal("-1234567.5")


def _sample() -> str:
    return f"{local.number(_NUMBER)} · {local.day(_DAY)}"


@cache
def region_choices() -> tuple[tuple[str, str], ...]:
    """The program's own manner, then every region under its own name, each with a sample."""
    from babel import Locale

    with local.written(local.OWN):
        choices = [("", gettext("The program's own: {sample}").format(sample=_sample()))]
    named = []
    for code in REGIONS:
        name = Locale.parse(code).get_display_name() or code
        with local.written(local.Manner(code)):
            named.append((code, f"{name[:1].upper()}{name[1:]}: {_sample()}"))
    return (*choices, *sorted(named, key=lambda choice: choice[1].casefold()))


def language_choices() -> tuple[tuple[str, str], ...]:
    """What the browser asks for, then every language that this site has, by its own name."""
    return (
        ("", gettext("What the browser asks for")),
        *((code, _own_name(code)) for code in _languages()),
    )


def _own_name(code: str) -> str:
    from babel import Locale, UnknownLocaleError

    try:
        name = Locale.parse(code, sep="-").get_display_name() or code
    except (ValueError, UnknownLocaleError):
        name = dict(settings.LANGUAGES)[code]
    return f"{name[:1].upper()}{name[1:]}"


def _languages() -> tuple[str, ...]:
    return tuple(code for code, _ in settings.LANGUAGES)


def language_of(user) -> str:
    """The language this person chose, "" for none or one that the site no longer has."""
    chosen = getattr(user, "language", "")
    return chosen if chosen in _languages() else ""


def manner_of(user) -> local.Manner:
    """How this person reads numbers, dates and money; nobody in particular: the program's own."""
    region = getattr(user, "region", "")
    return local.Manner(region if region in REGIONS else "", getattr(user, "date_style", "region"))
