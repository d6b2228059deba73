"""Switches of readings become booleans; they were numbers, a count of 1 or 0.

The kinds of reading are read from their table from now on: a new one needs no migration.
"""

from django.db import migrations, models

import jobs.setups.reading_kinds

SWITCHES = (("push", "brake"), ("push", "stays"), ("travel", "reset"))


def counts_to_booleans(apps, schema_editor):
    rows = apps.get_model("setups", "Measurement").objects
    for kind, name in SWITCHES:
        of_switch = rows.filter(reading__kind=kind, name=name, on=None)
        for on, found in ((False, of_switch.filter(value=0)), (True, of_switch.exclude(value=0))):
            rows.filter(pk__in=found.values("pk")).update(
                on=on, value=None, unit="", canonical=None
            )


def booleans_to_counts(apps, schema_editor):
    rows = apps.get_model("setups", "Measurement").objects
    for on in (False, True):
        rows.filter(on=on).update(on=None, value=int(on), unit="count", canonical=int(on))


class Migration(migrations.Migration):
    dependencies = [("setups", "0006_order_carries_its_expectation")]

    operations = [
        migrations.AlterField(
            model_name="reading",
            name="kind",
            field=models.CharField(
                choices=jobs.setups.reading_kinds.reading_kind_choices, max_length=16
            ),
        ),
        migrations.AlterField(
            model_name="measurement",
            name="value",
            field=models.DecimalField(blank=True, decimal_places=3, max_digits=10, null=True),
        ),
        migrations.AlterField(
            model_name="measurement",
            name="unit",
            field=models.CharField(blank=True, max_length=8),
        ),
        migrations.AlterField(
            model_name="measurement",
            name="canonical",
            field=models.DecimalField(blank=True, decimal_places=5, max_digits=12, null=True),
        ),
        migrations.AddField(
            model_name="measurement",
            name="on",
            field=models.BooleanField(
                blank=True,
                help_text="a switch: it was so, or not; empty for a number",
                null=True,
            ),
        ),
        migrations.RunPython(counts_to_booleans, booleans_to_counts),
        migrations.AddConstraint(
            model_name="measurement",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("canonical__isnull", False), ("on", None), ("value__isnull", False)
                )
                | models.Q(
                    ("canonical", None), ("on__isnull", False), ("unit", ""), ("value", None)
                ),
                name="setups_number_or_switch",
            ),
        ),
    ]
