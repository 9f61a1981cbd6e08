"""Every limit in one place, each with its reason. Settings import these; nothing else holds a limit."""

# One page of a spreadsheet is a few kilobytes; 5 MB leaves room for a book of charts and stops a bomb.
CHART_FILE_BYTES = 5_000_000
# Published ranges reach 26 sizes; a studio that offers two figure types doubles that.
CHART_SIZES = 60
CHART_ROWS = 200
# A chart is edited a few times a year: one page of its history holds years; each entry lists a row's worth of cells.
CHART_HISTORY_PAGE = 20
CHART_HISTORY_CELLS = 12
# Two people at one chart see each other's cells within the time that it takes to type the next few.
CHART_POLL_SECONDS = 3
# Layered large-format files of a full range stay under 200 MB (common practice, no source).
PATTERN_FILE_BYTES = 200_000_000
# A home-printed file of a full range has some 60 pages, a booklet some 40; a book has not 2,000.
PATTERN_FILE_PAGES = 2_000
# Reading the facts of the largest file takes under a second and 100 MB: what needs more is not a pattern.
PDF_READER_SECONDS = 20
PDF_READER_BYTES = 1_000_000_000
# A line of progress is read by someone who waits: more often than once a second is not seen.
PROGRESS_SECONDS = 1.0
# A part of an upload: small enough that a dropped line costs little, below what one request may hold in memory.
UPLOAD_PART_BYTES = 4_000_000
# Somebody who lost the line goes on the same evening or the next; parts of what was never finished then go.
UPLOAD_DAYS = 2
# Files that one person may have on the way at once: the five kinds, each replaced once.
UPLOADS_AT_ONCE = 10
# Following every line of two files of 60 crowded pages takes 20 s of one core; three times as much is no pattern.
PDF_LOOK_SECONDS = 60
# Every printing of a file stays in the history; a version that needs more files than this is several patterns.
FILES_PER_VERSION = 60
# The longest instructions (a tailored coat) have some 120 steps and fill 40 pages.
STEPS_PER_VERSION = 300
STEPS_CHARS = 150_000
# A phone photo is 3 to 12 MB; 25 MB takes the largest that phones save.
PHOTO_BYTES = 25_000_000
# 50 megapixels is the largest common phone sensor; a decoded image of that size is 150 MB.
PHOTO_PIXELS = 50_000_000
# PNG and WebP cannot be decoded at a fraction of their size; a screenshot of the largest tablet has 6 megapixels.
PHOTO_PLAIN_PIXELS = 16_000_000
# Photos a tester may keep in one report: six views, a close-up for each of several zones, some spare.
PHOTOS_PER_REPORT = 30
# A part of a photo's upload: lost with the line, a megabyte is a few seconds on a phone.
PHOTO_PART_BYTES = 1_000_000
# A page of photos is looked at within minutes; a link that was copied from it is dead soon after.
PHOTO_LINK_SECONDS = 900
# A face, a window, a name on a wall take a stroke or two each; a finger's stroke has some fifty points.
PHOTO_COVERS = 40
PHOTO_COVER_POINTS = 4_000
PHOTO_LARGE_PX = 2048
PHOTO_SMALL_PX = 480
# A round file of 5,000 reports is about 8 MB.
ROUND_FILE_BYTES = 20_000_000
# Invitations stay good long enough for a tester who was away for a fortnight.
INVITATION_DAYS = 14
# A studio is two to five people; more open invitations than this is a mistake, or somebody sending mail to strangers.
INVITATIONS_WAITING = 20
# A tester's link lasts the round (about ten weeks) with a margin.
TESTER_LINK_DAYS = 120
# Measurements are kept until the round can be read, decided and re-tested: the day promised to testers.
BODY_RETENTION_DAYS = 365
# Who applied and was never asked hears of it when the round ends; a month later nobody asks again.
APPLICANT_DAYS = 30
# Words in one free field: two printed pages.
WORDS_CHARS = 6_000
# A print is trusted within one per cent (trade: 1 % of a 100 cm girth is 1 cm, a quarter of a size step).
PRINT_TOLERANCE = 0.01
# Live pages ask this often; a designer waits for reports by the hour, not by the second.
POLL_SECONDS = 10
# A drawn overview is some 150 kB; the rounds that a studio of five reads in a day, with their filters, fit in 5 MB.
OVERVIEWS_KEPT = 32
# The plain values of a round of 40 reports are half a megabyte: those that a studio of five reads in a day.
ROUNDS_KEPT = 16
# The table of a chart of 40 rows and 30 sizes takes half a megabyte: those of the versions that are read in a day.
CHARTS_KEPT = 32
# The app has 5,000 texts: those that a process meets in its life, plurals by their number, in 3 MB a language.
TEXTS_KEPT = 10_000
# Reminders: three days before the day, on it, and two days after it; then silence (common practice, no source).
REMIND_DAYS_BEFORE = 3
REMIND_DAYS_AFTER = 2
# A worker that was down sends what it missed up to two days late; a later reminder would only annoy.
REMIND_DAYS_LATE = 2
# Reminders leave in the hours of the tester's day in which a message wakes nobody.
REMIND_FROM_HOUR = 9
REMIND_TO_HOUR = 20
# Choosing among 1,000 volunteers takes half a second of one core; a designer waits two.
PANEL_SECONDS = 2.0
# Whoever writes three lines in a row is announced once; after this long a new message is news again.
MESSAGE_MAIL_MINUTES = 10
# A conversation of a round is read on one page.
MESSAGES_PER_PLACE = 200
# A worker looks for jobs this often: half a second is not noticed by someone who waits for a photo.
JOB_POLL_SECONDS = 0.5
# A worker shows a sign of life this often; one that was silent for six signs is dead, and its job is handed out again.
JOB_SIGN_SECONDS = 10
JOB_LEASE_SECONDS = 60
# A job that fails is tried again after 15 s and a minute: a mail server or a store that restarts is back by then.
JOB_ATTEMPTS = 3
JOB_RETRY_SECONDS = 15
# The libraries behind PDFs keep up to half a megabyte of every document: a worker begins anew before that is felt.
JOBS_A_LIFE = 500
# Jobs that went well are looked at within days, if ever.
JOB_KEPT_DAYS = 14
# Nightly jobs start after this hour (UTC).
NIGHTLY_HOUR = 3
# A report PDF longer than this many table rows is made in the background.
PDF_ROWS_AT_ONCE = 100
# A call is answered by a form open to strangers: so many applications an hour from one address.
APPLICATIONS_PER_HOUR = 20
# Somebody corrects an application once or twice; more for one mail address is somebody else's game with it.
APPLICATIONS_PER_ADDRESS = 5
# Two to four reports a size are read one by one; twelve leave room for a size that a studio wants to know well.
TESTERS_A_SIZE = 12
# Nobody has finished more rounds than this; a longer number is a slip.
ROUNDS_BEFORE = 200
# The longest cutting list (a lined coat) has some 40 lines; opened out, its pieces and their pairs are 150 boxes.
LAY_BOXES = 300
# A cutting list as a file is a few kilobytes; a megabyte is no list.
LAY_FILE_BYTES = 1_000_000
# The words of the longest booklet are some 100 kB; a whole book of sewing is under a megabyte.
BOOKLET_TEXT_BYTES = 2_000_000
# National surveys of body measurements hold some thousands of women.
BODY_SAMPLE_BODIES = 5_000
# So many bodies with the forty measurements that a standard lists.
BODY_SAMPLE_CELLS = 200_000
# A studio compares its range with a handful of samples.
BODY_SAMPLES = 20
# Shell, lining, interfacing and two contrasts are five cloths; shops sell four usual widths (90, 115, 140, 150 cm).
FABRIC_MATERIALS = 6
FABRIC_WIDTHS = 6
# A cutting list of a lined coat has some 40 rows.
CUTTING_LIST_ROWS = 80
# A layout takes some 150 ms to draw on paper: a dozen are two seconds, and more are asked for a size at a time.
LAYOUTS_AT_ONCE = 12
# A tester who asks for time gets a weekend; twice at most, and never past the day on which the round closes.
MORE_DAYS = 3
MORE_DAYS_AT_MOST = 6
# A lined coat needs some 15 notions and as many tools; twice that is a shopping list for several garments.
NOTIONS_PER_VERSION = 60
