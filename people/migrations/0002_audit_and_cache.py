"""The audit trail refuses change and deletion; the cache has its table."""

from django.core.management import call_command
from django.db import migrations

SQLITE = [
    """CREATE TRIGGER audit_no_{what} BEFORE {what} ON people_auditentry
    BEGIN SELECT RAISE(ABORT, 'the audit trail is never changed'); END""".format(what=what)
    for what in ("update", "delete")
]
POSTGRES = [
    """CREATE FUNCTION audit_refuse() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'the audit trail is never changed'; END $$""",
    """CREATE TRIGGER audit_no_change BEFORE UPDATE OR DELETE ON people_auditentry
    FOR EACH STATEMENT EXECUTE FUNCTION audit_refuse()""",
]
UNDO = {
    "sqlite": ["DROP TRIGGER audit_no_update", "DROP TRIGGER audit_no_delete"],
    "postgresql": ["DROP TRIGGER audit_no_change ON people_auditentry", "DROP FUNCTION audit_refuse()"],
}


def guard(apps, schema_editor):
    for statement in SQLITE if schema_editor.connection.vendor == "sqlite" else POSTGRES:
        schema_editor.execute(statement)


def unguard(apps, schema_editor):
    for statement in UNDO[schema_editor.connection.vendor]:
        schema_editor.execute(statement)


def cache_table(apps, schema_editor):
    call_command("createcachetable", database=schema_editor.connection.alias, verbosity=0)


class Migration(migrations.Migration):
    dependencies = [("people", "0001_initial")]
    operations = [
        migrations.RunPython(guard, unguard),
        migrations.RunPython(cache_table, migrations.RunPython.noop),
    ]
