"""The travel that is meant to be used: by end and by the pace of a group, not one band for all.

A business that had set a band of its own keeps it for both ends and every pace.
"""

from django.db import migrations, models

USUAL = (65, 85)
KEYS = [
    f"travel_{end}_{pace}" for end in ("front", "rear") for pace in ("novice", "middle", "quick")
]


def one_band_to_six(apps, schema_editor):
    bands = apps.get_model("people", "OwnBand").objects
    for business in apps.get_model("people", "Business").objects.all():
        low, high = business.travel_low_percent, business.travel_high_percent
        if (low, high) != USUAL and low <= high:
            for key in KEYS:
                bands.update_or_create(key=key, defaults={"low": low, "high": high})


def six_bands_to_one(apps, schema_editor):
    bands = apps.get_model("people", "OwnBand").objects
    kept = bands.filter(key="travel_front_middle").first()
    if kept is not None:
        apps.get_model("people", "Business").objects.update(
            travel_low_percent=round(kept.low), travel_high_percent=round(kept.high)
        )
    bands.filter(key__in=KEYS).delete()


class Migration(migrations.Migration):
    dependencies = [("people", "0007_same_person")]

    operations = [
        migrations.RunPython(one_band_to_six, six_bands_to_one),
        migrations.RemoveField(model_name="business", name="travel_high_percent"),
        migrations.RemoveField(model_name="business", name="travel_low_percent"),
        migrations.AddField(
            model_name="business",
            name="rear_travel_place",
            field=models.CharField(blank=True, max_length=11),
        ),
    ]
