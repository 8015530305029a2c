"""Which party's record a request works on, and what to say when two saved at once."""

from django.shortcuts import render

from claims.models.fact import ChangedMeanwhile

SESSION_KEY = "party_id"


def current_party(get_response):
    """Set request.memberships, .membership and .party; the session remembers the choice.

    One query for a signed-in user. A membership taken away takes effect at once,
    because nothing but the party's id is kept in the session.
    """

    def middleware(request):
        request.memberships, request.membership, request.party = [], None, None
        if request.user.is_authenticated:
            request.memberships = list(request.user.memberships.select_related("party"))
            chosen = request.session.get(SESSION_KEY)
            for membership in request.memberships:
                if request.membership is None or membership.party_id == chosen:
                    request.membership = membership
                    request.party = membership.party
        return get_response(request)

    return middleware


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
