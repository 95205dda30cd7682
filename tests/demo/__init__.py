"""The demo: an invented operation, and the story behind its record sheets.

`python -m tests.demo.make` writes `data_demo/full`, `data_demo/minimum` and `tests/demo/truth.json`, the same
bytes every time. Keeper, places, suppliers and products are invented; coordinates are points on a farmland
map, chosen without regard to what stands there.

The operation: ten apiaries, about 130 colonies, one keeper and sometimes a helper. Season 2024 has few
records, season 2025 is told in full, and the first look of spring 2026 says who came through.

What really happened (all of it in `truth.json`, with the true mites):

- SLUICE lies on soft ground. It missed both rounds of November 2024; in August 2025 rain kept the vehicle out
  twice, its strips went in on 11 September, 27 days after `treat_by`, and its rounds came 24 days after the
  others'. It lost half its colonies, nearly all to mites.
- HEATHER had its supers on the moor crop until 28 August: strips 14 days late. Nobody numbers hives there, as at NOOK.
- KILN has warped boxes: poor seals, and rounds that killed far less than elsewhere.
- Sublimator S2 is slow, 32 to 45 s a dose where 20 is normal, on a battery whose volts are good: its element is worn.
- SALLOW runs S1 off a generator too weak for it: 11 min to heat and 36 s a dose, though S1 does 20 s elsewhere.
- Battery B2 is old: at ASH it gave eight and ten doses to a charge, and the other hives missed those rounds.
- ROOK's strips went in on 9 August 2025 and never came out.
- HEATHER's third round was 3.0 g where the label allows 2.3 g. The thymol has no `labels` row; the purchase of
  formic acid lacks batch and supplier's address; one tub of oxalic powder was used past its expiry.
- NOOK and ASH were never counted.

Lines nobody can use as they stand: see `tests.demo.mess.BAD`.
"""
