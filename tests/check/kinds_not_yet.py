"""What the parser does not do yet, by expectation: kinds of layout that are expected to fail.

Strictly: a kind that begins to pass has to be taken out of its list.
"""

TYPED: dict[str, str] = {
    "labelled or of a form: read and right": """
        us-lot-and-date-under-one-label us-label-and-value-on-two-lines
        us-box-front-two-languages us-box-many-claims eu-model-joined-by-dash eu-week-dates
        eu-lot-and-end-in-one-chain eu-german-pouch eu-italian-pouch eu-polish-pouch
        eu-french-pouch eu-brand-and-model-on-one-labelled-line eu-spanish-pouch
        eu-dutch-pouch several-europe-america-eurasia kr-industrial-box br-month-in-letters
        ca-pouch-front medical-spanish-hygienic barrier-mask
        fault-digits-of-the-standard-swapped
    """,
    "nothing read that is not printed": """
        us-sign-name-bare-model-warning us-warning-first us-class-and-model-twice
        us-lettered-lot-last us-family-and-plus us-name-twice us-two-lines-unlabelled-batch
        us-department-and-telephone us-company-over-two-lines us-no-maker-words-run-off
        us-bare-six-digit-lot us-pouch-textile-label us-box-front-two-languages
        us-box-offer-of-another-model us-box-model-with-grade us-box-many-claims
        eu-valve-bare-model eu-address-line eu-family-and-plus eu-han-and-latin-name
        eu-number-away-from-ce eu-model-joined-by-dash eu-month-behind-class eu-week-dates
        eu-bare-lot eu-children eu-german-pouch eu-italian-pouch eu-polish-pouch
        eu-french-pouch eu-brand-and-model-on-one-labelled-line eu-importer-and-storage
        eu-box-slogans eu-spanish-pouch eu-dutch-pouch eu-set-in-capitals-with-slogan
        several-china-australia several-america-japan cn-name-and-model-on-one-line
        cn-name-and-model-alone cn-pouch-slogans kr-industrial-box au-trade-box
        br-month-in-letters in-valve-product-name ca-pouch-front medical-chinese-pouch
        medical-spanish-hygienic fault-five-digits fault-neither-nr-nor-r
    """,
    "by place never read": """
        us-block us-sign-name-bare-model-warning us-warning-first us-class-and-model-twice
        us-lettered-lot-last us-family-and-plus us-name-twice us-class-inside-model
        us-brand-and-company us-two-lines-unlabelled-batch us-part-number-without-space
        us-model-dash-class us-no-model us-department-and-telephone
        us-company-over-two-lines us-no-maker-words-run-off us-name-and-class us-surgical
        us-bare-six-digit-lot us-bare-mixed-lot us-private-label
        us-lot-and-date-under-one-label us-lot-with-a-dash us-valve-agency-first
        us-label-and-value-on-two-lines us-pouch-textile-label us-box-front-two-languages
        us-box-front-slogans us-box-offer-of-another-model us-box-model-with-grade
        us-box-approval-label us-box-many-claims us-size-and-side
        us-model-of-digits-and-a-dash us-two-labels-on-one-line us-box-negations
        eu-valve-bare-model eu-address-line eu-family-and-plus eu-old-edition
        eu-han-and-latin-name eu-name-begins-model eu-number-away-from-ce
        eu-company-street-town eu-model-behind-class eu-model-joined-by-dash
        eu-spaces-behind-colons eu-month-behind-class eu-year-like-model-dash-class
        eu-hourglass eu-national-edition eu-week-dates eu-bare-lot
        eu-lot-and-end-in-one-chain eu-round-a-circle eu-valve-model-with-size eu-children
        eu-italian-pouch eu-polish-pouch eu-french-pouch eu-importer-and-storage
        eu-box-slogans eu-set-in-capitals-with-slogan several-europe-america-eurasia
        several-china-australia several-america-japan cn-name-and-model-on-one-line
        cn-name-and-model-alone cn-conforms-to-the-standard cn-mixed-case-name
        cn-percentages-and-origin cn-safety-mark-number cn-pouch-slogans cn-box-front
        kr-pouch jp-sticker-line au-lower-case-name au-trade-box br-fold br-month-in-letters
        in-fold in-valve-product-name ca-pouch-front mx-fold medical-american-box
        medical-chinese-pouch medical-spanish-hygienic barrier-mask nothing-but-words
        name-and-model-alone fault-kn95-under-an-american-number fault-five-digits
        fault-another-schedule fault-no-number fault-nr-behind-n95 fault-fda-approved
        fault-edition-that-does-not-exist fault-three-digits-behind-ce
        fault-neither-nr-nor-r fault-class-that-does-not-exist fault-licence-of-five-digits
        fault-p3-on-a-half-mask fault-placeholder fault-letters-behind-ce
        fault-digits-of-the-standard-swapped fault-letters-of-the-class-swapped
        fault-washable-and-disposable
    """,
    "among the first three": """
        us-sign-name-bare-model-warning us-warning-first us-class-and-model-twice
        us-lettered-lot-last us-family-and-plus us-name-twice us-two-lines-unlabelled-batch
        us-department-and-telephone us-company-over-two-lines us-bare-six-digit-lot
        us-bare-mixed-lot us-lot-and-date-under-one-label us-valve-agency-first
        us-label-and-value-on-two-lines us-pouch-textile-label us-box-front-two-languages
        us-box-offer-of-another-model us-box-model-with-grade us-box-many-claims
        eu-valve-bare-model eu-address-line eu-family-and-plus eu-old-edition
        eu-han-and-latin-name eu-name-begins-model eu-number-away-from-ce
        eu-company-street-town eu-model-joined-by-dash eu-year-like-model-dash-class
        eu-week-dates eu-bare-lot eu-lot-and-end-in-one-chain eu-round-a-circle
        eu-valve-model-with-size eu-german-pouch eu-italian-pouch eu-polish-pouch
        eu-french-pouch eu-brand-and-model-on-one-labelled-line eu-importer-and-storage
        eu-box-slogans eu-spanish-pouch eu-dutch-pouch eu-set-in-capitals-with-slogan
        several-china-australia several-america-japan cn-name-and-model-on-one-line
        cn-name-and-model-alone kr-industrial-box au-trade-box in-valve-product-name
        medical-spanish-hygienic fault-five-digits fault-neither-nr-nor-r
    """,
    "no false conflict": """
        us-box-negations eu-national-edition
    """,
    "no false missing": """
        us-class-and-model-twice us-family-and-plus us-name-twice us-bare-six-digit-lot
        us-valve-agency-first eu-valve-bare-model eu-family-and-plus eu-old-edition
        eu-name-begins-model eu-company-street-town eu-model-joined-by-dash
        eu-year-like-model-dash-class eu-round-a-circle eu-valve-model-with-size
        eu-german-pouch eu-italian-pouch eu-polish-pouch eu-french-pouch eu-dutch-pouch
        several-america-japan cn-name-and-model-on-one-line
    """,
    "planted fault found": """
        fault-p3-on-a-half-mask fault-digits-of-the-standard-swapped
        fault-washable-and-disposable
    """,
    "outcome": """
        cn-name-and-model-alone medical-spanish-hygienic barrier-mask nothing-but-words
        name-and-model-alone
    """,
}

DRAWN: dict[str, str] = {
    "labelled or of a form: right": """
        us-label-and-value-on-two-lines eu-italian-pouch
    """,
    "nothing read that is not printed": """
        us-warning-first us-bare-six-digit-lot us-department-and-telephone eu-address-line
        eu-bare-lot eu-italian-pouch fault-neither-nr-nor-r
    """,
    "by place never read": """
        us-block us-warning-first us-bare-six-digit-lot us-label-and-value-on-two-lines
        us-department-and-telephone eu-address-line eu-bare-lot eu-italian-pouch
        fault-nr-behind-n95 fault-neither-nr-nor-r
    """,
    "among the first three": """
        us-warning-first us-family-and-plus us-bare-six-digit-lot
        us-label-and-value-on-two-lines us-department-and-telephone eu-valve-bare-model
        eu-address-line eu-bare-lot eu-round-a-circle eu-italian-pouch
        fault-neither-nr-nor-r
    """,
    "no false missing": """
        us-bare-six-digit-lot eu-valve-bare-model eu-round-a-circle eu-italian-pouch
    """,
}
