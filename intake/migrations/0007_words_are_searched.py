from django.db import migrations

# The index lives beside the table and is kept by triggers, so that no writer can forget it.  `prefix` keeps the
# beginnings of words ready, two to six letters long.
SQLITE = (
    "CREATE VIRTUAL TABLE intake_casewords_search USING fts5(words, content='intake_casewords', "
    "content_rowid='case_id', tokenize='unicode61', prefix='2 3 4 5 6', columnsize=0)",
    "CREATE TRIGGER intake_casewords_new AFTER INSERT ON intake_casewords BEGIN "
    "INSERT INTO intake_casewords_search(rowid, words) VALUES (new.case_id, new.words); END",
    "CREATE TRIGGER intake_casewords_gone AFTER DELETE ON intake_casewords BEGIN "
    "INSERT INTO intake_casewords_search(intake_casewords_search, rowid, words) "
    "VALUES ('delete', old.case_id, old.words); END",
    "CREATE TRIGGER intake_casewords_changed AFTER UPDATE ON intake_casewords BEGIN "
    "INSERT INTO intake_casewords_search(intake_casewords_search, rowid, words) "
    "VALUES ('delete', old.case_id, old.words); "
    "INSERT INTO intake_casewords_search(rowid, words) VALUES (new.case_id, new.words); END",
)
SQLITE_BACK = (
    "DROP TRIGGER intake_casewords_changed", "DROP TRIGGER intake_casewords_gone", "DROP TRIGGER intake_casewords_new",
    "DROP TABLE intake_casewords_search",
)
POSTGRESQL = (
    "CREATE INDEX intake_casewords_search ON intake_casewords "
    "USING gin (array_to_tsvector(string_to_array(words, ' ')))",
)
POSTGRESQL_BACK = ("DROP INDEX intake_casewords_search",)


def on(sqlite, postgresql):
    def run(apps, editor):
        for statement in sqlite if editor.connection.vendor == "sqlite" else postgresql:
            editor.execute(statement)
    return run


class Migration(migrations.Migration):

    dependencies = [
        ('intake', '0006_the_queues_order_and_holders'),
    ]

    operations = [
        migrations.RunPython(on(SQLITE, POSTGRESQL), on(SQLITE_BACK, POSTGRESQL_BACK)),
    ]
