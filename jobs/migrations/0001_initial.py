import django.core.validators
import django.db.models.deletion
import django.utils.timezone
from decimal import Decimal
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("materials", "0002_append_only_movements"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Client",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120)),
                ("contact", models.CharField(blank=True, max_length=120)),
                ("email", models.EmailField(blank=True, max_length=254, verbose_name="e-mail")),
                ("phone", models.CharField(blank=True, max_length=40)),
                ("address", models.TextField(blank=True)),
                ("note", models.TextField(blank=True)),
                ("created_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
            ],
            options={
                "ordering": ["name"],
            },
        ),
        migrations.CreateModel(
            name="Job",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("number", models.PositiveIntegerField(unique=True)),
                ("title", models.CharField(max_length=120)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("enquiry", "enquiry"),
                            ("quoted", "quoted"),
                            ("agreed", "agreed"),
                            ("working", "being made"),
                            ("delivered", "delivered"),
                            ("declined", "declined"),
                        ],
                        default="enquiry",
                        max_length=12,
                    ),
                ),
                ("promised_on", models.DateField(blank=True, null=True)),
                ("starts_at", models.DateTimeField(blank=True, null=True, verbose_name="work starts")),
                ("note", models.TextField(blank=True)),
                ("created_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("client", models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name="jobs", to="jobs.client")),
            ],
            options={
                "ordering": ["-number"],
            },
        ),
        migrations.CreateModel(
            name="Piece",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("name", models.CharField(max_length=120)),
                (
                    "surface",
                    models.CharField(
                        choices=[
                            ("sulfur_clay", "Oil clay with sulfur"),
                            ("sulfur_free_clay", "Oil clay without sulfur"),
                            ("water_clay", "Water clay"),
                            ("gypsum", "Gypsum or plaster"),
                            ("wood", "Wood"),
                            ("stone", "Stone"),
                            ("metal", "Metal"),
                            ("glass_ceramic", "Glass or glazed ceramic"),
                            ("wax", "Wax"),
                            ("paint", "Paint or varnish"),
                            ("print_photopolymer", "Resin print (light cured)"),
                            ("print_filament", "Filament print"),
                            ("latex", "Latex"),
                            ("epoxy", "Epoxy"),
                            ("polyester", "Polyester"),
                            ("polyurethane", "Polyurethane"),
                            ("platinum_silicone", "Platinum silicone"),
                            ("tin_silicone", "Tin silicone"),
                            ("unknown", "Not known"),
                        ],
                        default="unknown",
                        max_length=24,
                        verbose_name="what its surface is",
                    ),
                ),
                ("sealed", models.BooleanField(default=False, verbose_name="sealed")),
                ("mass_g", models.DecimalField(blank=True, decimal_places=3, max_digits=12, null=True, verbose_name="weight")),
                (
                    "measured_by",
                    models.CharField(
                        choices=[("none", "not measured yet"), ("tape", "with a tape"), ("scan", "from a scan")],
                        default="none",
                        max_length=6,
                    ),
                ),
                ("stands_on_board", models.BooleanField(default=True, verbose_name="stands on a board")),
                (
                    "flange_width_mm",
                    models.DecimalField(decimal_places=2, default=75, max_digits=8, verbose_name="board flange around the base"),
                ),
                (
                    "texture_height_mm",
                    models.DecimalField(decimal_places=3, default=0, max_digits=7, verbose_name="height of the texture"),
                ),
                (
                    "texture_spacing_mm",
                    models.DecimalField(decimal_places=3, default=0, max_digits=7, verbose_name="spacing of the texture"),
                ),
                ("note", models.TextField(blank=True)),
                ("job", models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name="piece", to="jobs.job")),
            ],
        ),
        migrations.CreateModel(
            name="Plan",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("thicken_print_coat", models.BooleanField(default=False, verbose_name="thicken the print coat")),
                ("people_per_coat", models.PositiveSmallIntegerField(default=1, verbose_name="people brushing at once")),
                (
                    "temperature_c",
                    models.DecimalField(
                        decimal_places=1, default=Decimal("21"), max_digits=4, verbose_name="temperature of the day"
                    ),
                ),
                ("positions", models.PositiveSmallIntegerField(default=2, verbose_name="positions the piece is turned through")),
                (
                    "wall_mm",
                    models.DecimalField(decimal_places=2, default=Decimal("9.5"), max_digits=6, verbose_name="rubber wall"),
                ),
                (
                    "print_coat_mm",
                    models.DecimalField(decimal_places=2, default=Decimal("0.8"), max_digits=5, verbose_name="print coat"),
                ),
                (
                    "closing_coat_mm",
                    models.DecimalField(decimal_places=2, default=Decimal("1.0"), max_digits=5, verbose_name="closing coat"),
                ),
                ("build_coats", models.PositiveSmallIntegerField(blank=True, null=True, verbose_name="build coats")),
                (
                    "cup_loss_percent",
                    models.DecimalField(
                        blank=True, decimal_places=1, max_digits=4, null=True, verbose_name="lost in cups and brushes"
                    ),
                ),
                ("fill_volume_l", models.DecimalField(decimal_places=3, default=0, max_digits=8, verbose_name="fill")),
                (
                    "scrap_share_percent",
                    models.DecimalField(decimal_places=1, default=0, max_digits=5, verbose_name="share of the fill with scrap"),
                ),
                (
                    "packing_fraction",
                    models.DecimalField(
                        decimal_places=2, default=Decimal("0.54"), max_digits=4, verbose_name="packing of the chunks"
                    ),
                ),
                ("seam_length_mm", models.DecimalField(decimal_places=1, default=0, max_digits=9, verbose_name="parting strip")),
                (
                    "shell_kind",
                    models.CharField(
                        choices=[
                            ("laminate", "glass and polyester"),
                            ("plaster", "fibred plaster"),
                            ("putty", "epoxy putty"),
                            ("brushed", "brushed plastic"),
                            ("none", "no shell"),
                        ],
                        default="laminate",
                        max_length=10,
                    ),
                ),
                ("shell_pieces", models.PositiveSmallIntegerField(default=2)),
                ("shell_layers", models.PositiveSmallIntegerField(default=3)),
                ("shell_thickness_mm", models.DecimalField(decimal_places=2, default=Decimal("20"), max_digits=6)),
                (
                    "shell_flange_percent",
                    models.DecimalField(
                        decimal_places=1, default=Decimal("15"), max_digits=5, verbose_name="flanges, as a share of the shell"
                    ),
                ),
                ("castings", models.PositiveIntegerField(default=1, verbose_name="castings")),
                (
                    "casting_wall_mm",
                    models.DecimalField(decimal_places=2, default=Decimal("4"), max_digits=6, verbose_name="wall of a casting"),
                ),
                ("skins", models.PositiveSmallIntegerField(default=3, verbose_name="skins")),
                (
                    "turning_rpm",
                    models.DecimalField(blank=True, decimal_places=1, max_digits=5, null=True, verbose_name="turns a minute"),
                ),
                ("revision", models.PositiveIntegerField(default=1)),
                ("previous", models.JSONField(blank=True, null=True, verbose_name="the values before the last change")),
                ("changed_at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "casting_tint",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="materials.material",
                    ),
                ),
                (
                    "changed_by",
                    models.ForeignKey(
                        blank=True, null=True, on_delete=django.db.models.deletion.SET_NULL, to=settings.AUTH_USER_MODEL
                    ),
                ),
                ("job", models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name="plan", to="jobs.job")),
                (
                    "release",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="materials.material",
                    ),
                ),
                (
                    "resin",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="materials.material",
                    ),
                ),
                (
                    "rubber",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="materials.material",
                    ),
                ),
                (
                    "scrap_bin",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to="materials.scrapbin",
                    ),
                ),
                (
                    "sealer",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="materials.material",
                    ),
                ),
                (
                    "shell_matrix",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="materials.material",
                    ),
                ),
                (
                    "shell_reinforcement",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="materials.material",
                    ),
                ),
                (
                    "thickener",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="materials.material",
                    ),
                ),
                (
                    "tint",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="materials.material",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="OwnMinutes",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("task_key", models.CharField(max_length=60)),
                ("minutes", models.DecimalField(decimal_places=1, max_digits=8)),
                (
                    "plan",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="own_minutes", to="jobs.plan"),
                ),
            ],
        ),
        migrations.CreateModel(
            name="ScanFile",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("original_name", models.CharField(max_length=200)),
                ("stored_name", models.CharField(max_length=200)),
                ("file_format", models.CharField(max_length=20)),
                ("size_bytes", models.PositiveBigIntegerField()),
                ("sha256", models.CharField(max_length=64)),
                ("unit", models.CharField(blank=True, max_length=4)),
                ("up_axis", models.CharField(default="z", max_length=2)),
                (
                    "state",
                    models.CharField(
                        choices=[
                            ("queued", "waits for the worker"),
                            ("reading", "being read"),
                            ("asked", "its unit is asked"),
                            ("ready", "measured"),
                            ("refused", "refused"),
                        ],
                        default="queued",
                        max_length=8,
                    ),
                ),
                ("reason", models.TextField(blank=True)),
                ("facts", models.JSONField(default=dict, verbose_name="what was seen at the first look")),
                ("wishes", models.JSONField(default=dict, verbose_name="board, flange and texture")),
                ("attempts", models.PositiveSmallIntegerField(default=0)),
                ("due_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("lease_until_at", models.DateTimeField(blank=True, null=True)),
                ("created_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("piece", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="scans", to="jobs.piece")),
                (
                    "uploaded_by",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["-created_at", "-pk"],
            },
        ),
        migrations.CreateModel(
            name="SolidReading",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField(default=0)),
                ("label", models.CharField(blank=True, max_length=80)),
                (
                    "shape",
                    models.CharField(
                        choices=[
                            ("sphere", "sphere"),
                            ("hemisphere", "hemisphere"),
                            ("box", "box"),
                            ("cylinder", "cylinder"),
                            ("cone", "cone"),
                            ("frustum", "frustum"),
                            ("ring", "ring"),
                            ("ellipsoid", "ellipsoid"),
                        ],
                        max_length=12,
                    ),
                ),
                (
                    "sense",
                    models.CharField(
                        choices=[("added", "added"), ("taken", "hollow, taken away")], default="added", max_length=6
                    ),
                ),
                (
                    "count",
                    models.PositiveSmallIntegerField(
                        default=1,
                        validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(50)],
                        verbose_name="how many",
                    ),
                ),
                (
                    "contact_area_mm2",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=12, null=True, verbose_name="contact or mouth, as an area"
                    ),
                ),
                ("through", models.BooleanField(default=False, verbose_name="goes right through")),
                ("length_mm", models.DecimalField(decimal_places=2, max_digits=9, verbose_name="length or diameter")),
                (
                    "width_mm",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=9, null=True, verbose_name="width or second diameter"
                    ),
                ),
                (
                    "height_mm",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=9, null=True, verbose_name="height or depth"),
                ),
                ("piece", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="solids", to="jobs.piece")),
            ],
            options={
                "ordering": ["position", "pk"],
            },
        ),
        migrations.CreateModel(
            name="TakeoffRecord",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                (
                    "method",
                    models.CharField(
                        choices=[("none", "not measured yet"), ("tape", "with a tape"), ("scan", "from a scan")], max_length=6
                    ),
                ),
                ("area_m2", models.FloatField()),
                ("volume_m3", models.FloatField()),
                ("content", models.JSONField()),
                ("readings", models.JSONField(default=dict, verbose_name="the readings it was computed from")),
                ("created_at", models.DateTimeField(default=django.utils.timezone.now, editable=False)),
                ("used_at", models.DateTimeField(default=django.utils.timezone.now, verbose_name="put to use")),
                (
                    "piece",
                    models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="takeoffs", to="jobs.piece"),
                ),
                (
                    "scan",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.SET_NULL,
                        related_name="takeoffs",
                        to="jobs.scanfile",
                    ),
                ),
            ],
            options={
                "ordering": ["-used_at", "-pk"],
                "get_latest_by": ["used_at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="GirthReading",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("position", models.PositiveSmallIntegerField()),
                ("girth_mm", models.DecimalField(decimal_places=2, max_digits=9, verbose_name="girth")),
                (
                    "along_mm",
                    models.DecimalField(
                        blank=True, decimal_places=2, max_digits=9, null=True, verbose_name="along the surface to the next"
                    ),
                ),
                (
                    "height_mm",
                    models.DecimalField(blank=True, decimal_places=2, max_digits=9, null=True, verbose_name="height to the next"),
                ),
                ("piece", models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name="girths", to="jobs.piece")),
            ],
            options={
                "ordering": ["position"],
                "constraints": [
                    models.UniqueConstraint(fields=("piece", "position"), name="girths_in_order"),
                    models.CheckConstraint(condition=models.Q(("girth_mm__gte", 0)), name="girth_not_negative"),
                ],
            },
        ),
        migrations.AddConstraint(
            model_name="plan",
            constraint=models.CheckConstraint(condition=models.Q(("wall_mm__gt", 0)), name="plan_wall_positive"),
        ),
        migrations.AddConstraint(
            model_name="plan",
            constraint=models.CheckConstraint(
                condition=models.Q(("scrap_share_percent__gte", 0), ("scrap_share_percent__lte", 100)),
                name="plan_scrap_share_is_a_share",
            ),
        ),
        migrations.AddConstraint(
            model_name="plan",
            constraint=models.CheckConstraint(
                condition=models.Q(("packing_fraction__gt", 0), ("packing_fraction__lt", 1)), name="plan_packing_is_a_share"
            ),
        ),
        migrations.AddConstraint(
            model_name="plan",
            constraint=models.CheckConstraint(
                condition=models.Q(("cup_loss_percent__gte", 0), ("cup_loss_percent__lt", 60)), name="plan_loss_is_a_share"
            ),
        ),
        migrations.AddConstraint(
            model_name="plan",
            constraint=models.CheckConstraint(condition=models.Q(("shell_pieces__gte", 1)), name="plan_shell_has_a_piece"),
        ),
        migrations.AddConstraint(
            model_name="plan",
            constraint=models.CheckConstraint(
                condition=models.Q(("castings__gte", 1), ("skins__gte", 1)), name="plan_casts_something"
            ),
        ),
        migrations.AddConstraint(
            model_name="ownminutes",
            constraint=models.UniqueConstraint(fields=("plan", "task_key"), name="one_own_time_per_task"),
        ),
        migrations.AddConstraint(
            model_name="ownminutes",
            constraint=models.CheckConstraint(condition=models.Q(("minutes__gte", 0)), name="own_minutes_not_negative"),
        ),
        migrations.AddConstraint(
            model_name="solidreading",
            constraint=models.CheckConstraint(condition=models.Q(("length_mm__gt", 0)), name="solid_length_positive"),
        ),
        migrations.AddConstraint(
            model_name="solidreading",
            constraint=models.CheckConstraint(condition=models.Q(("count__gte", 1)), name="solid_count_positive"),
        ),
        migrations.AddConstraint(
            model_name="takeoffrecord",
            constraint=models.CheckConstraint(condition=models.Q(("area_m2__gt", 0)), name="takeoff_area_positive"),
        ),
    ]
