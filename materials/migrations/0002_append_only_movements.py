"""Guard the ledger in the database itself: a movement is never changed and never deleted."""

from django.db import migrations

from materials.models import append_only


def guard(apps, schema_editor):
    append_only.guard(schema_editor.connection)


def lift(apps, schema_editor):
    append_only.lift(schema_editor.connection)


class Migration(migrations.Migration):
    dependencies = [
        ("materials", "0001_initial"),
    ]

    operations = [
        migrations.RunPython(guard, lift),
    ]
