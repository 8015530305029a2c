"""Which party's record a request works on."""

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
