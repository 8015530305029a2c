"""Which party's record a request works on, and what to say when two saved at once."""

from django.conf import settings
from django.shortcuts import render
from django.utils import translation

from claims.models.fact import ChangedMeanwhile
from claims.web.export import FILE_TYPES
from claims.web.tongues import language_of, manner_of
from trips.calc import local

SESSION_KEY = "party_id"
FILE_ENDS = (".ics", ".json")
# Read by the field page, which shows its sentences to the person who is signed in.
FOR_PEOPLE = {"reports:field_tables"}


def current_party(get_response):
    """Set request.memberships, .membership and .party; the session remembers the choice.

    No query of its own: memberships come with the user. One taken away takes effect at once,
    because nothing but the party's id is kept in the session.
    """

    def middleware(request):
        request.memberships, request.membership, request.party = [], None, None
        if request.user.is_authenticated:
            request.memberships = list(request.user.memberships.all())
            chosen = request.session.get(SESSION_KEY)
            for membership in request.memberships:
                if request.membership is None or membership.party_id == chosen:
                    request.membership = membership
                    request.party = membership.party
        return get_response(request)

    return middleware


def for_one_person(get_response):
    """What a signed-in person sees is kept by no cache that others share, nor after signing out.

    Not `no-store`: the way back would lose what was typed.
    """

    def middleware(request):
        was_signed_in = request.user.is_authenticated
        response = get_response(request)
        if was_signed_in:
            response.headers.setdefault("Cache-Control", "private, no-cache")
            if not request.user.is_authenticated:
                # What browsers keep whole for the way back, `back.js` sees to.
                response.headers["Clear-Site-Data"] = '"cache"'
        return response

    return middleware


class OwnManner:
    """Write the page in the person's language, and numbers, dates and money in their manner.

    Stands inside LocaleMiddleware, whose finding, the browser's wish, counts without a choice.
    What other programs read is the same for everybody: English, and the program's own manner.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        language = language_of(request.user) or translation.get_language()
        with translation.override(language), local.written(manner_of(request.user)):
            request.LANGUAGE_CODE = language
            response = self.get_response(request)
        response.headers.setdefault("Content-Language", language)
        return response

    def process_view(self, request, view, args, kwargs):
        if request.resolver_match.view_name in FOR_PEOPLE:
            return
        wanted = kwargs.get("fmt") or request.GET.get("export", "")
        if (wanted in FILE_TYPES and wanted != "pdf") or request.path.endswith(FILE_ENDS):
            translation.activate(settings.LANGUAGE_CODE)
            local.use(local.OWN)


class TwoSavedAtOnce:
    """Answer with a page of its own when a row was saved by somebody else in the same moment.

    The form has found every earlier change by then; this is for the last instant between its
    look and the save.
    """

    def __init__(self, get_response):
        self.get_response = get_response

    def __call__(self, request):
        return self.get_response(request)

    def process_exception(self, request, exception):
        if isinstance(exception, ChangedMeanwhile):
            context = {"message": exception.messages[0]}
            return render(request, "409.html", context, status=409)
        return None
