"""One choice for language and sewing words; nobody chose a language before, so all begin with their browser's."""

from django.db import migrations

import people.models


def one_choice(apps, schema_editor):
    person = apps.get_model("people", "Person")
    person.objects.filter(dialect="us").update(language="en-us")
    person.objects.exclude(dialect="us").filter(language="en").update(language="")


class Migration(migrations.Migration):
    dependencies = [("people", "0003_workers")]
    operations = [
        migrations.AlterField("person", "language", people.models.LanguageField()),
        migrations.RunPython(one_choice, migrations.RunPython.noop, elidable=True),
        migrations.RemoveField("person", "dialect"),
    ]
