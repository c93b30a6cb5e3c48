
import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('intake', '0004_photos_come_in_pieces'),
        ('reports', '0002_drafts_in_a_language'),
    ]

    operations = [
        migrations.CreateModel(
            name='Reminder',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('step', models.CharField(choices=[('gentle', 'a first reminder'), ('one ask', 'the one thing that helps most'), ('last', 'the last reminder'), ('how it goes', 'how did it go?'), ('how it went', 'how did it go, for the last time?')], max_length=20)),
                ('state', models.CharField(choices=[('queued', 'queued'), ('sending', 'sending'), ('sent', 'sent'), ('failed', 'failed'), ('unknown', 'unknown')], default='queued', max_length=10)),
                ('message_id', models.CharField(max_length=120, unique=True)),
                ('not_before', models.DateTimeField(blank=True, null=True)),
                ('claimed_by', models.CharField(blank=True, max_length=80)),
                ('claimed_until', models.DateTimeField(blank=True, null=True)),
                ('attempts', models.PositiveSmallIntegerField(default=0)),
                ('reason', models.TextField(blank=True)),
                ('created_at', models.DateTimeField(auto_now_add=True)),
                ('sent_at', models.DateTimeField(blank=True, null=True)),
                ('round', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='reminders', to='intake.round')),
            ],
            options={
                'indexes': [models.Index(fields=['state', 'claimed_until'], name='reminders_to_do')],
                'constraints': [models.UniqueConstraint(fields=('round', 'step'), name='one_reminder_per_step')],
            },
        ),
    ]
