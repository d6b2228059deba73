"""A travel reading says where it was taken.

The ring of a fork sits on its leg. Of a reading at the rear nobody said whether it was taken on
the shock's shaft or at the wheel: it stays unknown, and is asked about.
"""

from django.db import migrations, models


def front_was_read_on_the_leg(apps, schema_editor):
    readings = apps.get_model("setups", "Reading").objects
    readings.filter(kind="travel", end="front").update(place="fork_leg")


class Migration(migrations.Migration):
    dependencies = [("setups", "0008_reasons_and_pressures_kept")]

    operations = [
        migrations.AddField(
            model_name="reading",
            name="place",
            field=models.CharField(
                blank=True,
                choices=[
                    ("fork_leg", "on the fork leg"),
                    ("shock_shaft", "on the shock's shaft"),
                    ("wheel", "at the wheel"),
                ],
                help_text="where travel was read; empty: nobody said",
                max_length=11,
            ),
        ),
        migrations.RunPython(front_was_read_on_the_leg, migrations.RunPython.noop),
    ]
