"""What was charged as an absence is said of the entry too."""

from django.db import migrations

# The English words of the reasons; the charge kept only these.
WORDS = {
    "did not come": "no_show",
    "called off for weather": "weather",
    "cancelled by us": "by_us",
}


def tell_the_entries(apps, schema_editor):
    Charge = apps.get_model("billing", "Charge")
    Entry = apps.get_model("trackday", "Entry")
    for charge in Charge.objects.filter(key="absence", withdrawn_at__isnull=True):
        said = f"{charge.description} {charge.waived_why}"
        absence = next((code for words, code in WORDS.items() if words in said), "cancelled")
        Entry.objects.filter(pk=charge.entry_id).update(absence=absence)


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0004_fill_the_ledger"),
        ("trackday", "0007_absence"),
    ]

    operations = [
        migrations.RunPython(tell_the_entries, migrations.RunPython.noop),
    ]
