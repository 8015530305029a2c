from django.db import migrations


def link(apps, schema_editor):
    """Rules made of a condition said so in words; now the condition points at its rule."""
    condition_model = apps.get_model("claims", "PaperCondition")
    rule_model = apps.get_model("claims", "OwnRule")
    for line in condition_model.objects.select_related("paper").filter(own_rule=None):
        paper = line.paper
        name = f"{paper.name} {paper.number}".strip()
        source = f"{name}, condition {line.position}"[:200]
        rule = rule_model.objects.filter(party_id=paper.party_id, written_where=source).first()
        if rule is not None:
            condition_model.objects.filter(pk=line.pk).update(own_rule=rule)


class Migration(migrations.Migration):
    dependencies = [("claims", "0011_evidence_files_and_condition_rules")]

    operations = [migrations.RunPython(link, migrations.RunPython.noop)]
