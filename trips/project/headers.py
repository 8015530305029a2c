"""The content security policy, named and shaped as in Django 6, so that moving is a deletion."""

from django.conf import settings


def content_security_policy(get_response):
    policy = "; ".join(
        f"{directive} {' '.join(sources)}" for directive, sources in settings.SECURE_CSP.items()
    )

    def middleware(request):
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", policy)
        return response

    return middleware
