import django.db.models.deletion
import django.utils.timezone
import simple_history.models
from django.conf import settings
from django.db import migrations, models


def note_as_found(apps, schema_editor):
    """Who is a member now, so that the first change has a role before it.

    Who gave that role isn't known, nor when.
    """
    past = apps.get_model("claims", "HistoricalMembership")
    now = django.utils.timezone.now()
    past.objects.bulk_create(
        past(
            id=member.pk,
            party_id=member.party_id,
            user_id=member.user_id,
            role=member.role,
            joined_at=member.joined_at,
            record_party_id=member.party_id,
            called=f"{_name(member.user)} in {member.party.name}"[:200],
            history_date=now,
            history_type="~",
        )
        for member in apps.get_model("claims", "Membership").objects.select_related("user", "party")
    )


def _name(user):
    return f"{user.first_name} {user.last_name}".strip() or user.username


class Migration(migrations.Migration):

    dependencies = [
        ('claims', '0014_background_work'),
    ]

    operations = [
        migrations.CreateModel(
            name='HistoricalMembership',
            fields=[
                ('id', models.BigIntegerField(auto_created=True, blank=True, db_index=True, verbose_name='ID')),
                ('change_set', models.UUIDField(db_index=True, null=True)),
                ('record_party_id', models.BigIntegerField(db_index=True, null=True)),
                ('called', models.CharField(blank=True, max_length=200)),
                ('role', models.CharField(choices=[('keeper', 'keeper'), ('hand', 'hand'), ('reader', 'reader')], default='keeper', max_length=8)),
                ('joined_at', models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ('history_id', models.AutoField(primary_key=True, serialize=False)),
                ('history_date', models.DateTimeField(db_index=True)),
                ('history_change_reason', models.CharField(max_length=100, null=True)),
                ('history_type', models.CharField(choices=[('+', 'Created'), ('~', 'Changed'), ('-', 'Deleted')], max_length=1)),
                ('history_user', models.ForeignKey(null=True, on_delete=django.db.models.deletion.SET_NULL, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('party', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to='claims.party')),
                ('user', models.ForeignKey(blank=True, db_constraint=False, null=True, on_delete=django.db.models.deletion.DO_NOTHING, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'verbose_name': 'historical membership',
                'verbose_name_plural': 'historical memberships',
                'ordering': ('-history_date', '-history_id'),
                'get_latest_by': ('history_date', 'history_id'),
            },
            bases=(simple_history.models.HistoricalChanges, models.Model),
        ),
        migrations.RunPython(note_as_found, migrations.RunPython.noop),
    ]
