from django.db import migrations

from claims.migrations._past_by_day import PastByDay


class Migration(migrations.Migration):

    dependencies = [
        ('claims', '0016_past_by_party_and_day'),
        ('trips', '0016_where_work_was'),
    ]

    operations = [
        PastByDay({
            'historicalcost': 'trips_histo_record__f3907b_idx',
            'historicaldistancerate': 'trips_histo_record__683320_idx',
            'historicalfieldnote': 'trips_histo_record__08d430_idx',
            'historicalflood': 'trips_histo_record__207983_idx',
            'historicalgauge': 'trips_histo_record__0496d7_idx',
            'historicalgear': 'trips_histo_record__a7b9a3_idx',
            'historicalgoldlot': 'trips_histo_record__b81114_idx',
            'historicalhoursblock': 'trips_histo_record__b34f6d_idx',
            'historicalmergedlot': 'trips_histo_record__2ae597_idx',
            'historicalprice': 'trips_histo_record__634dc8_idx',
            'historicalrun': 'trips_histo_record__f76a05_idx',
            'historicaltestpan': 'trips_histo_record__1ada8d_idx',
            'historicaltrack': 'trips_histo_record__7b27ae_idx',
            'historicaltrip': 'trips_histo_record__3b8fe2_idx',
            'historicaltripanswer': 'trips_histo_record__acf1ad_idx',
            'historicaltripfile': 'trips_histo_record__6cf5ee_idx',
            'historicaltripperson': 'trips_histo_record__67e1c7_idx',
            'historicaltripsite': 'trips_histo_record__083e51_idx',
            'historicalvehicle': 'trips_histo_record__e554b1_idx',
            'historicalweighin': 'trips_histo_record__15dbaf_idx',
        }),
    ]
