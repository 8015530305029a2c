from django.db import migrations

from claims.migrations._past_by_day import PastByDay


class Migration(migrations.Migration):

    dependencies = [
        ('claims', '0015_past_of_memberships'),
    ]

    operations = [
        PastByDay({
            'historicalconditionmark': 'claims_hist_record__6c012c_idx',
            'historicalduty': 'claims_hist_record__d73876_idx',
            'historicaldutydone': 'claims_hist_record__4e2a38_idx',
            'historicalhole': 'claims_hist_record__5708fc_idx',
            'historicalkeptfile': 'claims_hist_record__78b52b_idx',
            'historicalmembership': 'claims_hist_record__9cad1b_idx',
            'historicalownrule': 'claims_hist_record__317aea_idx',
            'historicalpaper': 'claims_hist_record__8a0b8a_idx',
            'historicalpapercondition': 'claims_hist_record__83ca6a_idx',
            'historicalparty': 'claims_hist_record__c10719_idx',
            'historicalperson': 'claims_hist_record__c624be_idx',
            'historicalsite': 'claims_hist_record__61c0b0_idx',
            'historicalsiteshape': 'claims_hist_record__f33121_idx',
            'historicalspot': 'claims_hist_record__2bdb17_idx',
        }),
    ]
