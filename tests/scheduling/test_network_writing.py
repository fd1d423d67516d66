"""What is written is read back as the same network."""

import json

from hypothesis import given, settings

from coordination.scheduling.critical_path import schedule
from coordination.scheduling.network_json import read_network
from coordination.scheduling.network_writing import network_as_json
from tests.scheduling.networks import networks


@settings(max_examples=25, deadline=None)
@given(networks())
def test_a_written_network_has_the_same_tasks_links_and_dates(network):
    again = read_network(json.dumps(network_as_json(network))).network
    assert (again.tasks, again.links) == (network.tasks, network.links)
    assert (again.start, again.data_date, again.order) == (network.start, network.data_date, network.order)
    assert {key: dates.early_start for key, dates in schedule(again).tasks.items()} == {
        key: dates.early_start for key, dates in schedule(network).tasks.items()
    }
