"""Put what a service refused beside the box it is about."""

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError


def tell(form, error: ValidationError) -> None:
    """Add a service's refusal to a form: at its field, or on top where the form has none."""
    if not hasattr(error, "error_dict"):
        form.add_error(None, error)
        return
    for name, problems in error.message_dict.items():
        place = name if name in form.fields and name != NON_FIELD_ERRORS else None
        form.add_error(place, problems)
