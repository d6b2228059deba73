from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("worklist", "0006_photo_of_a_hold"),
    ]

    operations = [
        migrations.AddField(
            model_name="dayplan",
            name="offer",
            field=models.JSONField(blank=True, null=True),
        ),
    ]
