from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("acts", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="act",
            name="version",
            field=models.PositiveSmallIntegerField(default=1),
        ),
    ]
