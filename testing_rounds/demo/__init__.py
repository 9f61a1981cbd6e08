"""The demo: an invented studio and its first round, made through the app's own actions.

All people, bodies and words are invented. Five faults are planted, so that a newcomer sees the app find them:
the back is drafted short; the upper arm's grade lacks its break; the waist of size 18 slipped; step 9 gives two
measurements that disagree; the A4 file prints too small.
"""
