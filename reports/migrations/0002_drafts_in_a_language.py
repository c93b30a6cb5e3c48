from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('reports', '0001_drafts_letters_deliveries'),
    ]

    operations = [
        migrations.AddField(
            model_name='draft',
            name='english_text',
            field=models.TextField(blank=True),
        ),
        migrations.AddField(
            model_name='draft',
            name='language',
            field=models.CharField(choices=[('en', 'English'), ('de', 'Deutsch'), ('es', 'Español')], default='en', max_length=5),
        ),
    ]
