import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models


def say_what_scans_were_read(apps, schema_editor):
    """Takeoffs kept before this said which scan they are of, and the scan how it was read."""
    records = apps.get_model("jobs", "TakeoffRecord").objects.filter(method="scan", scan__isnull=False)
    for record in records.select_related("scan"):
        scan = record.scan
        record.shape = {
            "sha256": scan.sha256,
            "unit": scan.unit,
            "up_axis": scan.up_axis,
            "on_board": bool(record.content.get("stands_on_board", True)),
        }
        record.save(update_fields=["shape"])


class Migration(migrations.Migration):
    dependencies = [
        ("jobs", "0001_initial"),
    ]

    operations = [
        migrations.AddField(
            model_name="plan",
            name="division_rank",
            field=models.PositiveSmallIntegerField(default=0, verbose_name="which of the ways found is taken"),
        ),
        migrations.AddField(
            model_name="plan",
            name="parting",
            field=models.JSONField(blank=True, null=True, verbose_name="where a person wants two pieces to meet"),
        ),
        migrations.AddField(
            model_name="plan",
            name="pinned_pulls",
            field=models.JSONField(blank=True, default=list, verbose_name="pulls that a person fixed"),
        ),
        migrations.AddField(
            model_name="takeoffrecord",
            name="shape",
            field=models.JSONField(default=dict, verbose_name="the scan it was read from: fingerprint, unit, up, board"),
        ),
        migrations.RunPython(say_what_scans_were_read, migrations.RunPython.noop),
        migrations.AlterField(
            model_name="plan",
            name="fill_volume_l",
            field=models.DecimalField(blank=True, decimal_places=3, max_digits=8, null=True, verbose_name="fill"),
        ),
        migrations.AlterField(
            model_name="plan",
            name="positions",
            field=models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="positions the piece is turned through"),
        ),
        migrations.AlterField(
            model_name="plan",
            name="seam_length_mm",
            field=models.DecimalField(blank=True, decimal_places=1, max_digits=9, null=True, verbose_name="parting strip"),
        ),
        migrations.AlterField(
            model_name="plan",
            name="shell_flange_percent",
            field=models.DecimalField(
                blank=True, decimal_places=1, max_digits=5, null=True, verbose_name="flanges, as a share of the shell"
            ),
        ),
        migrations.CreateModel(
            name="PieceStudy",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "of",
                    models.CharField(
                        choices=[("tape", "the body made from the readings"), ("scan", "the scan")],
                        max_length=4,
                        verbose_name="what was studied",
                    ),
                ),
                ("shape", models.CharField(max_length=64, verbose_name="fingerprint of the shape alone")),
                ("fingerprint", models.CharField(max_length=64, verbose_name="fingerprint of the shape and the decisions")),
                ("brief", models.JSONField(verbose_name="the decisions that it depends on")),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("queued", "waits for the worker"),
                            ("working", "being studied"),
                            ("ready", "studied"),
                            ("refused", "refused"),
                        ],
                        default="queued",
                        max_length=8,
                    ),
                ),
                ("reason", models.TextField(blank=True)),
                ("steps", models.JSONField(default=list, verbose_name="what is known so far, step by step")),
                ("figures", models.JSONField(blank=True, null=True, verbose_name="what a plan reads of the result")),
                ("result", models.JSONField(blank=True, null=True)),
                ("stored_name", models.CharField(blank=True, max_length=64, verbose_name="its file of drawings")),
                ("attempts", models.PositiveSmallIntegerField(default=0)),
                ("due_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("lease_until_at", models.DateTimeField(blank=True, null=True)),
                ("created_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("asked_at", models.DateTimeField(default=django.utils.timezone.now, verbose_name="last asked for")),
                (
                    "piece",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="studies", to="jobs.piece"),
                ),
                (
                    "takeoff",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE, related_name="studies", to="jobs.takeoffrecord"
                    ),
                ),
            ],
            options={
                "ordering": ["-asked_at", "-pk"],
                "constraints": [models.UniqueConstraint(fields=("piece", "fingerprint"), name="a_shape_is_studied_once")],
            },
        ),
    ]
