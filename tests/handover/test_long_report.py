"""The long report that the benchmark measures is still one that the template prints; `make bench` runs too seldom."""

from tests.benchmarks.long_report import html_with


def test_every_photo_and_every_original_is_in_it() -> None:
    html = html_with(23)
    assert html.count("<img") >= 23
    assert all(f"photo/{number}.jpg" in html and f"{number:064x}" in html for number in range(23))
