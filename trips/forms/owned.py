"""What forms for rows of a party share: constraints that name the party are checked too."""

from claims.web.forms import LedgerForm


class OwnedForm(LedgerForm):
    """Mixin for model forms whose instance already knows its party.

    Django leaves out constraints on fields that a form doesn't show; here the party (or trip)
    is set by the view before, so "this name is taken" is said by the form and not by a crash.
    """

    known = ("party", "trip")

    def _get_validation_exclusions(self):
        return super()._get_validation_exclusions() - set(self.known)
