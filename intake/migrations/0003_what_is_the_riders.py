
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('intake', '0002_language_and_time_zone'),
    ]

    operations = [
        migrations.CreateModel(
            name='Erased',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('number', models.CharField(max_length=12, unique=True)),
                ('outcome', models.CharField(blank=True, max_length=40)),
                ('erased_at', models.DateTimeField(auto_now_add=True)),
            ],
        ),
        migrations.AddField(
            model_name='case',
            name='no_reminders',
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name='case',
            name='quiet_since',
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name='round',
            name='done',
            field=models.CharField(blank=True, choices=[('exactly', 'Done exactly as the letter says'), ('differently', 'Done differently'), ('not done', 'Not done')], max_length=20),
        ),
        migrations.AddField(
            model_name='round',
            name='offered',
            field=models.JSONField(blank=True, default=dict),
        ),
    ]
