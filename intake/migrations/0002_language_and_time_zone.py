from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('intake', '0001_case_file'),
    ]

    operations = [
        migrations.AddField(
            model_name='case',
            name='language',
            field=models.CharField(choices=[('en', 'English'), ('de', 'Deutsch'), ('es', 'Español')], default='en', max_length=5),
        ),
        migrations.AddField(
            model_name='case',
            name='rider_time_zone',
            field=models.CharField(blank=True, max_length=64),
        ),
    ]
