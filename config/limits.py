"""Every limit in one place, each with its reason. Settings import these; nothing else holds a limit."""

# One page of a spreadsheet is a few kilobytes; 5 MB leaves room for a book of charts and stops a bomb.
CHART_FILE_BYTES = 5_000_000
# Published ranges reach 26 sizes; a studio that offers two figure types doubles that.
CHART_SIZES = 60
CHART_ROWS = 200
# Layered large-format files of a full range stay under 200 MB (common practice, no source).
PATTERN_FILE_BYTES = 200_000_000
# A phone photo is 3 to 12 MB; 25 MB takes the largest that phones save.
PHOTO_BYTES = 25_000_000
# 50 megapixels is the largest common phone sensor; a decoded image of that size is 150 MB.
PHOTO_PIXELS = 50_000_000
# Photos a tester may keep in one report: six views, a close-up for each of several zones, some spare.
PHOTOS_PER_REPORT = 30
PHOTO_LARGE_PX = 2048
PHOTO_SMALL_PX = 480
# A round file of 5,000 reports is about 8 MB.
ROUND_FILE_BYTES = 20_000_000
# Invitations stay good long enough for a tester who was away for a fortnight.
INVITATION_DAYS = 14
# A tester's link lasts the round (about ten weeks) with a margin.
TESTER_LINK_DAYS = 120
# Measurements are kept until the round can be read, decided and re-tested: the day promised to testers.
BODY_RETENTION_DAYS = 365
# Words in one free field: two printed pages.
WORDS_CHARS = 6_000
# A print is trusted within one per cent (trade: 1 % of a 100 cm girth is 1 cm, a quarter of a size step).
PRINT_TOLERANCE = 0.01
# Live pages ask this often; a designer waits for reports by the hour, not by the second.
POLL_SECONDS = 10
# A job that has run this long without ending belonged to a worker that died.
JOB_LEASE_SECONDS = 600
JOB_ATTEMPTS = 3
# A report PDF longer than this many table rows is made in the background.
PDF_ROWS_AT_ONCE = 100
# A call is answered by a form open to strangers: so many applications an hour from one address.
APPLICATIONS_PER_HOUR = 20
