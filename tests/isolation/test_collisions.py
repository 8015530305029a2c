"""Every form that changes a stored fact: whoever saves second is told, and overwrites nothing."""

import pytest
from django.db import transaction

from claims.models import Party
from claims.models.fact import Versioned
from claims.web.collisions import SEEN
from tests import factories as make
from tests.isolation.shown import as_shown
from tests.isolation.test_url_map import ADDRESSES, OPEN, address, contents, whole_record

pytestmark = pytest.mark.django_db
# Entries of a phone are added to, never replaced.
NOTHING_TO_OVERWRITE = {"trips:field_record_edit"}


@pytest.fixture
def keeper(client):
    record = whole_record("Ours")
    make.signed_in(client, Party.objects.get(pk=record["party"]))
    return record


def test_every_form_of_a_stored_fact_tells_the_second_to_save(client, keeper):
    silent, tried = [], set()
    for name in sorted(set(ADDRESSES) - OPEN):
        path = address(name, ADDRESSES[name], keeper)
        with transaction.atomic():  # opening a page may keep what it worked out
            _, sent, found = as_shown(client, path)
            transaction.set_rollback(True)
        stored = [
            form.add_prefix(SEEN)
            for form in found
            if isinstance(row := getattr(form, "instance", None), Versioned) and row.pk
        ]
        if not sent or not (stored or name.endswith("_edit")):
            continue
        # Another person saved each row after the page was opened: its version went up.
        late = {**sent, **{key: ["0"] for key in sent if key.endswith(SEEN)}}
        before = contents()
        answer = client.post(path, late)
        if set(stored) - set(sent) or not any(key.endswith(SEEN) for key in sent):
            silent.append(name)
        elif answer.status_code != 200 or b"while you were writing" not in answer.content:
            silent.append((name, answer.status_code))
        else:
            assert contents() == before, name
            tried.add(name)
    assert set(silent) == NOTHING_TO_OVERWRITE
    assert len(tried) > 25, tried
