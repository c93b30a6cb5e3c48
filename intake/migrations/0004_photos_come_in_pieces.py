import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('intake', '0003_what_is_the_riders'),
    ]

    operations = [
        migrations.AddField(
            model_name='photo',
            name='path',
            field=models.CharField(blank=True, max_length=80),
        ),
        migrations.CreateModel(
            name='PhotoUpload',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('token', models.CharField(max_length=43, unique=True)),
                ('place', models.CharField(max_length=40)),
                ('path', models.CharField(blank=True, max_length=80)),
                ('caption', models.CharField(blank=True, max_length=200)),
                ('size', models.PositiveIntegerField()),
                ('received', models.PositiveIntegerField(default=0)),
                ('claimed_until', models.DateTimeField(blank=True, null=True)),
                ('touched_at', models.DateTimeField(auto_now_add=True)),
                ('photo', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.CASCADE, to='intake.photo')),
                ('round', models.ForeignKey(on_delete=django.db.models.deletion.CASCADE, related_name='photo_uploads', to='intake.round')),
            ],
        ),
    ]
