PRAGMA application_id=1380273223;
PRAGMA user_version=1;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE animal_fact (
	id INTEGER NOT NULL,
	lot_id INTEGER NOT NULL,
	tub TEXT NOT NULL CONSTRAINT ck_animal_fact_tub_length CHECK (length(tub) <= 20),
	fact TEXT NOT NULL CONSTRAINT ck_animal_fact_fact_choice CHECK (fact IN ('virgin on arrival')),
	value TEXT NOT NULL CONSTRAINT ck_animal_fact_value_choice CHECK (value IN ('yes', 'no', 'not known')),
	from_on TEXT NOT NULL CONSTRAINT ck_animal_fact_from_on_range CHECK (from_on BETWEEN '1990-01-01' AND '2199-12-31'),
	note TEXT NOT NULL CONSTRAINT ck_animal_fact_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_animal_fact PRIMARY KEY (id),
	CONSTRAINT fk_animal_fact_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT fk_animal_fact_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_animal_fact_from_on_real CHECK (from_on IS date(from_on, '+0 days'))
)
 STRICT;
INSERT INTO "animal_fact" VALUES(1,1,'1','virgin on arrival','yes','2025-06-02','1',1);
CREATE TABLE arrival (
	id INTEGER NOT NULL,
	sale_id INTEGER NOT NULL,
	arrived_on TEXT NOT NULL CONSTRAINT ck_arrival_arrived_on_range CHECK (arrived_on BETWEEN '1990-01-01' AND '2199-12-31'),
	clock TEXT NOT NULL CONSTRAINT ck_arrival_clock_length CHECK (length(clock) <= 5),
	note TEXT NOT NULL CONSTRAINT ck_arrival_note_length CHECK (length(note) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_arrival PRIMARY KEY (id),
	CONSTRAINT fk_arrival_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id),
	CONSTRAINT fk_arrival_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_arrival_arrived_on_real CHECK (arrived_on IS date(arrived_on, '+0 days'))
)
 STRICT;
INSERT INTO "arrival" VALUES(1,1,'2025-06-02','1','1',1);
CREATE TABLE bring_in (
	id INTEGER NOT NULL,
	kind TEXT NOT NULL CONSTRAINT ck_bring_in_kind_choice CHECK (kind IN ('stock', 'sales', 'costs', 'customers', 'prices')),
	file_name TEXT NOT NULL CONSTRAINT ck_bring_in_file_name_length CHECK (length(file_name) <= 200),
	file_digest TEXT NOT NULL CONSTRAINT ck_bring_in_file_digest_length CHECK (length(file_digest) <= 64),
	rows INTEGER NOT NULL CONSTRAINT ck_bring_in_rows_bounds CHECK ("rows" BETWEEN 1 AND 1000000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_bring_in PRIMARY KEY (id),
	CONSTRAINT fk_bring_in_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "bring_in" VALUES(1,'stock','1','1',1,1);
CREATE TABLE bring_in_row (
	id INTEGER NOT NULL,
	bring_in_id INTEGER NOT NULL,
	place TEXT NOT NULL CONSTRAINT ck_bring_in_row_place_length CHECK (length(place) <= 120),
	mark TEXT NOT NULL CONSTRAINT ck_bring_in_row_mark_length CHECK (length(mark) <= 64),
	reference TEXT NOT NULL CONSTRAINT ck_bring_in_row_reference_length CHECK (length(reference) <= 80),
	customer_id INTEGER,
	CONSTRAINT pk_bring_in_row PRIMARY KEY (id),
	CONSTRAINT fk_bring_in_row_bring_in_id FOREIGN KEY(bring_in_id) REFERENCES bring_in (id),
	CONSTRAINT fk_bring_in_row_customer_id FOREIGN KEY(customer_id) REFERENCES customer (id)
)
 STRICT;
INSERT INTO "bring_in_row" VALUES(1,1,'1','1','1',NULL);
CREATE TABLE bring_in_undone (
	id INTEGER NOT NULL,
	bring_in_id INTEGER NOT NULL,
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_bring_in_undone PRIMARY KEY (id),
	CONSTRAINT uq_bring_in_undone_bring_in_id UNIQUE (bring_in_id),
	CONSTRAINT fk_bring_in_undone_bring_in_id FOREIGN KEY(bring_in_id) REFERENCES bring_in (id),
	CONSTRAINT fk_bring_in_undone_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "bring_in_undone" VALUES(1,1,1);
CREATE TABLE claim (
	id INTEGER NOT NULL,
	sale_line_id INTEGER NOT NULL,
	reported_on TEXT NOT NULL CONSTRAINT ck_claim_reported_on_range CHECK (reported_on BETWEEN '1990-01-01' AND '2199-12-31'),
	dead INTEGER NOT NULL CONSTRAINT ck_claim_dead_bounds CHECK ("dead" BETWEEN 1 AND 1000000),
	hours INTEGER CONSTRAINT ck_claim_hours_bounds CHECK ("hours" BETWEEN 0 AND 10000),
	evidence TEXT NOT NULL CONSTRAINT ck_claim_evidence_length CHECK (length(evidence) <= 2000),
	terms TEXT NOT NULL CONSTRAINT ck_claim_terms_length CHECK (length(terms) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_claim PRIMARY KEY (id),
	CONSTRAINT fk_claim_sale_line_id FOREIGN KEY(sale_line_id) REFERENCES sale_line (id),
	CONSTRAINT fk_claim_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_claim_reported_on_real CHECK (reported_on IS date(reported_on, '+0 days'))
)
 STRICT;
INSERT INTO "claim" VALUES(1,1,'2025-06-02',1,NULL,'1','1',1);
CREATE TABLE claim_outcome (
	id INTEGER NOT NULL,
	claim_id INTEGER NOT NULL,
	outcome TEXT NOT NULL CONSTRAINT ck_claim_outcome_outcome_choice CHECK (outcome IN ('refund', 'replacement', 'goodwill', 'declined')),
	decided_on TEXT NOT NULL CONSTRAINT ck_claim_outcome_decided_on_range CHECK (decided_on BETWEEN '1990-01-01' AND '2199-12-31'),
	credit_id INTEGER,
	sale_id INTEGER,
	note TEXT NOT NULL CONSTRAINT ck_claim_outcome_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_claim_outcome PRIMARY KEY (id),
	CONSTRAINT uq_claim_outcome_claim_id UNIQUE (claim_id),
	CONSTRAINT fk_claim_outcome_claim_id FOREIGN KEY(claim_id) REFERENCES claim (id),
	CONSTRAINT fk_claim_outcome_credit_id FOREIGN KEY(credit_id) REFERENCES credit (id),
	CONSTRAINT fk_claim_outcome_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id),
	CONSTRAINT fk_claim_outcome_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_claim_outcome_decided_on_real CHECK (decided_on IS date(decided_on, '+0 days'))
)
 STRICT;
INSERT INTO "claim_outcome" VALUES(1,1,'refund','2025-06-02',NULL,NULL,'1',1);
CREATE TABLE closing (
	id INTEGER NOT NULL,
	year INTEGER NOT NULL,
	closed_on TEXT NOT NULL CONSTRAINT ck_closing_closed_on_range CHECK (closed_on BETWEEN '1990-01-01' AND '2199-12-31'),
	digest TEXT NOT NULL CONSTRAINT ck_closing_digest_length CHECK (length(digest) <= 64),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_closing PRIMARY KEY (id),
	CONSTRAINT uq_closing_year UNIQUE (year),
	CONSTRAINT fk_closing_year FOREIGN KEY(year) REFERENCES period (year),
	CONSTRAINT fk_closing_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_closing_closed_on_real CHECK (closed_on IS date(closed_on, '+0 days'))
)
 STRICT;
INSERT INTO "closing" VALUES(1,2025,'2025-06-02','1',1);
CREATE TABLE closing_figure (
	id INTEGER NOT NULL,
	closing_id INTEGER NOT NULL,
	figure TEXT NOT NULL CONSTRAINT ck_closing_figure_figure_length CHECK (length(figure) <= 40),
	detail TEXT NOT NULL CONSTRAINT ck_closing_figure_detail_length CHECK (length(detail) <= 200),
	value INTEGER NOT NULL,
	CONSTRAINT pk_closing_figure PRIMARY KEY (id),
	CONSTRAINT fk_closing_figure_closing_id FOREIGN KEY(closing_id) REFERENCES closing (id)
)
 STRICT;
INSERT INTO "closing_figure" VALUES(1,1,'1','1',7);
CREATE TABLE correction_note (
	id INTEGER NOT NULL,
	sale_line_id INTEGER NOT NULL,
	was TEXT NOT NULL CONSTRAINT ck_correction_note_was_length CHECK (length(was) <= 500),
	now TEXT NOT NULL CONSTRAINT ck_correction_note_now_length CHECK (length(now) <= 500),
	why TEXT NOT NULL CONSTRAINT ck_correction_note_why_length CHECK (length(why) <= 2000),
	written_on TEXT NOT NULL CONSTRAINT ck_correction_note_written_on_range CHECK (written_on BETWEEN '1990-01-01' AND '2199-12-31'),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_correction_note PRIMARY KEY (id),
	CONSTRAINT fk_correction_note_sale_line_id FOREIGN KEY(sale_line_id) REFERENCES sale_line (id),
	CONSTRAINT fk_correction_note_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_correction_note_written_on_real CHECK (written_on IS date(written_on, '+0 days'))
)
 STRICT;
INSERT INTO "correction_note" VALUES(1,1,'1','1','1','2025-06-02',1);
CREATE TABLE cost (
	id INTEGER NOT NULL,
	bought_on TEXT NOT NULL CONSTRAINT ck_cost_bought_on_range CHECK (bought_on BETWEEN '1990-01-01' AND '2199-12-31'),
	accounting_on TEXT NOT NULL CONSTRAINT ck_cost_accounting_on_range CHECK (accounting_on BETWEEN '1990-01-01' AND '2199-12-31'),
	supplier TEXT NOT NULL CONSTRAINT ck_cost_supplier_length CHECK (length(supplier) <= 120),
	category TEXT NOT NULL CONSTRAINT ck_cost_category_length CHECK (length(category) <= 40),
	text TEXT NOT NULL CONSTRAINT ck_cost_text_length CHECK (length(text) <= 200),
	net INTEGER NOT NULL CONSTRAINT ck_cost_net_bounds CHECK ("net" BETWEEN 0 AND 100000000000),
	tax INTEGER NOT NULL CONSTRAINT ck_cost_tax_bounds CHECK ("tax" BETWEEN 0 AND 100000000000),
	gross INTEGER NOT NULL CONSTRAINT ck_cost_gross_bounds CHECK ("gross" BETWEEN 0 AND 100000000000),
	basis INTEGER NOT NULL CONSTRAINT ck_cost_basis_bounds CHECK ("basis" BETWEEN 0 AND 100000000000),
	share INTEGER NOT NULL CONSTRAINT ck_cost_share_bounds CHECK ("share" BETWEEN 1 AND 10000),
	quantity TEXT NOT NULL CONSTRAINT ck_cost_quantity_length CHECK (length(quantity) <= 30),
	unit TEXT NOT NULL CONSTRAINT ck_cost_unit_length CHECK (length(unit) <= 20),
	kind TEXT NOT NULL CONSTRAINT ck_cost_kind_choice CHECK (kind IN ('used up', 'lasting', 'animals', 'overhead', 'selling')),
	scope TEXT NOT NULL CONSTRAINT ck_cost_scope_choice CHECK (scope IN ('all', 'species', 'lots', 'brood', 'none')),
	window_from TEXT CONSTRAINT ck_cost_window_from_range CHECK (window_from BETWEEN '1990-01-01' AND '2199-12-31'),
	window_to TEXT CONSTRAINT ck_cost_window_to_range CHECK (window_to BETWEEN '1990-01-01' AND '2199-12-31'),
	life_days INTEGER CONSTRAINT ck_cost_life_days_bounds CHECK ("life_days" BETWEEN 1 AND 40000),
	residual INTEGER NOT NULL CONSTRAINT ck_cost_residual_bounds CHECK ("residual" BETWEEN 0 AND 100000000000),
	sale_id INTEGER,
	movement_id INTEGER,
	reverses INTEGER,
	original_currency TEXT NOT NULL CONSTRAINT ck_cost_original_currency_length CHECK (length(original_currency) <= 3),
	original_amount TEXT NOT NULL CONSTRAINT ck_cost_original_amount_length CHECK (length(original_amount) <= 30),
	rate TEXT NOT NULL CONSTRAINT ck_cost_rate_length CHECK (length(rate) <= 30),
	note TEXT NOT NULL CONSTRAINT ck_cost_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_cost PRIMARY KEY (id),
	CONSTRAINT ck_cost_gross CHECK (gross = net + tax),
	CONSTRAINT ck_cost_window_order CHECK (window_from <= window_to),
	CONSTRAINT ck_cost_residual CHECK (residual <= basis),
	CONSTRAINT fk_cost_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id),
	CONSTRAINT uq_cost_movement_id UNIQUE (movement_id),
	CONSTRAINT fk_cost_movement_id FOREIGN KEY(movement_id) REFERENCES movement (id),
	CONSTRAINT uq_cost_reverses UNIQUE (reverses),
	CONSTRAINT fk_cost_reverses FOREIGN KEY(reverses) REFERENCES cost (id),
	CONSTRAINT fk_cost_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_cost_bought_on_real CHECK (bought_on IS date(bought_on, '+0 days')),
	CONSTRAINT ck_cost_accounting_on_real CHECK (accounting_on IS date(accounting_on, '+0 days')),
	CONSTRAINT ck_cost_window_from_real CHECK (window_from IS date(window_from, '+0 days')),
	CONSTRAINT ck_cost_window_to_real CHECK (window_to IS date(window_to, '+0 days'))
)
 STRICT;
INSERT INTO "cost" VALUES(1,'2025-06-02','2025-06-02','1','1','1',0,0,0,0,1,'1','1','used up','all',NULL,NULL,NULL,0,NULL,NULL,NULL,'1','1','1','1',1);
CREATE TABLE cost_change (
	id INTEGER NOT NULL,
	cost_id INTEGER NOT NULL,
	kind TEXT NOT NULL CONSTRAINT ck_cost_change_kind_choice CHECK (kind IN ('paid', 'refund', 'window', 'disposal')),
	happened_on TEXT NOT NULL CONSTRAINT ck_cost_change_happened_on_range CHECK (happened_on BETWEEN '1990-01-01' AND '2199-12-31'),
	accounting_on TEXT NOT NULL CONSTRAINT ck_cost_change_accounting_on_range CHECK (accounting_on BETWEEN '1990-01-01' AND '2199-12-31'),
	amount INTEGER NOT NULL CONSTRAINT ck_cost_change_amount_bounds CHECK ("amount" BETWEEN -100000000000 AND 100000000000),
	window_to TEXT CONSTRAINT ck_cost_change_window_to_range CHECK (window_to BETWEEN '1990-01-01' AND '2199-12-31'),
	reverses INTEGER,
	note TEXT NOT NULL CONSTRAINT ck_cost_change_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_cost_change PRIMARY KEY (id),
	CONSTRAINT ck_cost_change_amount_back CHECK (amount >= 0 OR reverses IS NOT NULL),
	CONSTRAINT fk_cost_change_cost_id FOREIGN KEY(cost_id) REFERENCES cost (id),
	CONSTRAINT uq_cost_change_reverses UNIQUE (reverses),
	CONSTRAINT fk_cost_change_reverses FOREIGN KEY(reverses) REFERENCES cost_change (id),
	CONSTRAINT fk_cost_change_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_cost_change_happened_on_real CHECK (happened_on IS date(happened_on, '+0 days')),
	CONSTRAINT ck_cost_change_accounting_on_real CHECK (accounting_on IS date(accounting_on, '+0 days')),
	CONSTRAINT ck_cost_change_window_to_real CHECK (window_to IS date(window_to, '+0 days'))
)
 STRICT;
INSERT INTO "cost_change" VALUES(1,1,'paid','2025-06-02','2025-06-02',0,NULL,NULL,'1',1);
CREATE TABLE cost_scope (
	id INTEGER NOT NULL,
	cost_id INTEGER NOT NULL,
	species_id INTEGER,
	lot_id INTEGER,
	CONSTRAINT pk_cost_scope PRIMARY KEY (id),
	CONSTRAINT fk_cost_scope_cost_id FOREIGN KEY(cost_id) REFERENCES cost (id),
	CONSTRAINT fk_cost_scope_species_id FOREIGN KEY(species_id) REFERENCES species (id),
	CONSTRAINT fk_cost_scope_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id)
)
 STRICT;
INSERT INTO "cost_scope" VALUES(1,1,NULL,NULL);
CREATE TABLE counter (
	series TEXT NOT NULL CONSTRAINT ck_counter_series_length CHECK (length(series) <= 20),
	year INTEGER NOT NULL,
	last INTEGER NOT NULL CONSTRAINT ck_counter_last_bounds CHECK ("last" BETWEEN 0 AND 1000000000),
	CONSTRAINT pk_counter PRIMARY KEY (series, year)
)
 STRICT;
INSERT INTO "counter" VALUES('1',2025,0);
CREATE TABLE credit (
	id INTEGER NOT NULL,
	number TEXT NOT NULL CONSTRAINT ck_credit_number_length CHECK (length(number) <= 20),
	sale_id INTEGER NOT NULL,
	credited_on TEXT NOT NULL CONSTRAINT ck_credit_credited_on_range CHECK (credited_on BETWEEN '1990-01-01' AND '2199-12-31'),
	accounting_on TEXT NOT NULL CONSTRAINT ck_credit_accounting_on_range CHECK (accounting_on BETWEEN '1990-01-01' AND '2199-12-31'),
	amount INTEGER NOT NULL CONSTRAINT ck_credit_amount_bounds CHECK ("amount" BETWEEN 0 AND 100000000000),
	"full" INTEGER NOT NULL CONSTRAINT ck_credit_full_bounds CHECK ("full" BETWEEN 0 AND 1),
	reason TEXT NOT NULL CONSTRAINT ck_credit_reason_length CHECK (length(reason) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_credit PRIMARY KEY (id),
	CONSTRAINT uq_credit_number UNIQUE (number),
	CONSTRAINT fk_credit_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id),
	CONSTRAINT fk_credit_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_credit_credited_on_real CHECK (credited_on IS date(credited_on, '+0 days')),
	CONSTRAINT ck_credit_accounting_on_real CHECK (accounting_on IS date(accounting_on, '+0 days'))
)
 STRICT;
INSERT INTO "credit" VALUES(1,'1',1,'2025-06-02','2025-06-02',0,0,'1',1);
CREATE TABLE credit_line (
	id INTEGER NOT NULL,
	credit_id INTEGER NOT NULL,
	sale_line_id INTEGER,
	count INTEGER NOT NULL CONSTRAINT ck_credit_line_count_bounds CHECK ("count" BETWEEN 0 AND 1000000),
	back INTEGER NOT NULL CONSTRAINT ck_credit_line_back_bounds CHECK ("back" BETWEEN 0 AND 1000000),
	amount INTEGER NOT NULL CONSTRAINT ck_credit_line_amount_bounds CHECK ("amount" BETWEEN 0 AND 100000000000),
	text TEXT NOT NULL CONSTRAINT ck_credit_line_text_length CHECK (length(text) <= 120),
	CONSTRAINT pk_credit_line PRIMARY KEY (id),
	CONSTRAINT fk_credit_line_credit_id FOREIGN KEY(credit_id) REFERENCES credit (id),
	CONSTRAINT fk_credit_line_sale_line_id FOREIGN KEY(sale_line_id) REFERENCES sale_line (id)
)
 STRICT;
INSERT INTO "credit_line" VALUES(1,1,NULL,0,0,0,'1');
CREATE TABLE customer (
	id INTEGER NOT NULL,
	name TEXT NOT NULL CONSTRAINT ck_customer_name_length CHECK (length(name) <= 120),
	contact TEXT NOT NULL CONSTRAINT ck_customer_contact_length CHECK (length(contact) <= 500),
	kind TEXT NOT NULL CONSTRAINT ck_customer_kind_choice CHECK (kind IN ('retail', 'trade')),
	note TEXT NOT NULL CONSTRAINT ck_customer_note_length CHECK (length(note) <= 2000),
	erased_on TEXT CONSTRAINT ck_customer_erased_on_range CHECK (erased_on BETWEEN '1990-01-01' AND '2199-12-31'),
	CONSTRAINT pk_customer PRIMARY KEY (id),
	CONSTRAINT ck_customer_erased_on_real CHECK (erased_on IS date(erased_on, '+0 days'))
)
 STRICT;
INSERT INTO "customer" VALUES(1,'1','1','retail','1',NULL);
CREATE TABLE deposit_decision (
	id INTEGER NOT NULL,
	hold_id INTEGER NOT NULL,
	outcome TEXT NOT NULL CONSTRAINT ck_deposit_decision_outcome_choice CHECK (outcome IN ('refunded', 'kept')),
	happened_on TEXT NOT NULL CONSTRAINT ck_deposit_decision_happened_on_range CHECK (happened_on BETWEEN '1990-01-01' AND '2199-12-31'),
	accounting_on TEXT NOT NULL CONSTRAINT ck_deposit_decision_accounting_on_range CHECK (accounting_on BETWEEN '1990-01-01' AND '2199-12-31'),
	note TEXT NOT NULL CONSTRAINT ck_deposit_decision_note_length CHECK (length(note) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_deposit_decision PRIMARY KEY (id),
	CONSTRAINT uq_deposit_decision_hold_id UNIQUE (hold_id),
	CONSTRAINT fk_deposit_decision_hold_id FOREIGN KEY(hold_id) REFERENCES hold (id),
	CONSTRAINT fk_deposit_decision_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_deposit_decision_happened_on_real CHECK (happened_on IS date(happened_on, '+0 days')),
	CONSTRAINT ck_deposit_decision_accounting_on_real CHECK (accounting_on IS date(accounting_on, '+0 days'))
)
 STRICT;
INSERT INTO "deposit_decision" VALUES(1,1,'refunded','2025-06-02','2025-06-02','1',1);
CREATE TABLE earmark (
	id INTEGER NOT NULL,
	kind TEXT NOT NULL CONSTRAINT ck_earmark_kind_choice CHECK (kind IN ('held', 'kept', 'to post')),
	asked INTEGER NOT NULL CONSTRAINT ck_earmark_asked_bounds CHECK ("asked" BETWEEN 1 AND 1000000),
	hold_line_id INTEGER,
	sale_line_id INTEGER,
	note TEXT NOT NULL CONSTRAINT ck_earmark_note_length CHECK (length(note) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_earmark PRIMARY KEY (id),
	CONSTRAINT uq_earmark_hold_line_id UNIQUE (hold_line_id),
	CONSTRAINT fk_earmark_hold_line_id FOREIGN KEY(hold_line_id) REFERENCES hold_line (id),
	CONSTRAINT uq_earmark_sale_line_id UNIQUE (sale_line_id),
	CONSTRAINT fk_earmark_sale_line_id FOREIGN KEY(sale_line_id) REFERENCES sale_line (id),
	CONSTRAINT fk_earmark_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "earmark" VALUES(1,'held',1,NULL,NULL,'1',1);
CREATE TABLE earmark_event (
	id INTEGER NOT NULL,
	earmark_id INTEGER NOT NULL,
	holding_id INTEGER NOT NULL,
	change INTEGER NOT NULL CONSTRAINT ck_earmark_event_change_bounds CHECK ("change" BETWEEN -1000000 AND 1000000),
	why TEXT NOT NULL CONSTRAINT ck_earmark_event_why_choice CHECK (why IN ('made', 'followed', 'shortened', 'freed', 'taken')),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_earmark_event PRIMARY KEY (id),
	CONSTRAINT fk_earmark_event_earmark_id FOREIGN KEY(earmark_id) REFERENCES earmark (id),
	CONSTRAINT fk_earmark_event_holding_id FOREIGN KEY(holding_id) REFERENCES holding (id),
	CONSTRAINT fk_earmark_event_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "earmark_event" VALUES(1,1,1,0,'made',1);
CREATE TABLE earmark_on (
	earmark_id INTEGER NOT NULL,
	holding_id INTEGER NOT NULL,
	count INTEGER NOT NULL CONSTRAINT ck_earmark_on_count_bounds CHECK ("count" BETWEEN 0 AND 1000000),
	CONSTRAINT pk_earmark_on PRIMARY KEY (earmark_id, holding_id),
	CONSTRAINT fk_earmark_on_earmark_id FOREIGN KEY(earmark_id) REFERENCES earmark (id),
	CONSTRAINT fk_earmark_on_holding_id FOREIGN KEY(holding_id) REFERENCES holding (id)
)
 STRICT;
INSERT INTO "earmark_on" VALUES(1,1,0);
CREATE TABLE entry (
	id INTEGER NOT NULL,
	happened_from TEXT CONSTRAINT ck_entry_happened_from_range CHECK (happened_from BETWEEN '1990-01-01' AND '2199-12-31'),
	happened_on TEXT NOT NULL CONSTRAINT ck_entry_happened_on_range CHECK (happened_on BETWEEN '1990-01-01' AND '2199-12-31'),
	accounting_on TEXT NOT NULL CONSTRAINT ck_entry_accounting_on_range CHECK (accounting_on BETWEEN '1990-01-01' AND '2199-12-31'),
	note TEXT NOT NULL CONSTRAINT ck_entry_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_entry PRIMARY KEY (id),
	CONSTRAINT ck_entry_range_order CHECK (happened_from <= happened_on),
	CONSTRAINT ck_entry_accounted_later CHECK (accounting_on >= happened_on),
	CONSTRAINT fk_entry_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_entry_happened_from_real CHECK (happened_from IS date(happened_from, '+0 days')),
	CONSTRAINT ck_entry_happened_on_real CHECK (happened_on IS date(happened_on, '+0 days')),
	CONSTRAINT ck_entry_accounting_on_real CHECK (accounting_on IS date(accounting_on, '+0 days'))
)
 STRICT;
INSERT INTO "entry" VALUES(1,NULL,'2025-06-02','2025-06-02','1',1);
CREATE TABLE exposure (
	id INTEGER NOT NULL,
	female_lot_id INTEGER NOT NULL,
	female_tub TEXT NOT NULL CONSTRAINT ck_exposure_female_tub_length CHECK (length(female_tub) <= 20),
	male_lot_id INTEGER NOT NULL,
	male_tub TEXT NOT NULL CONSTRAINT ck_exposure_male_tub_length CHECK (length(male_tub) <= 20),
	from_on TEXT NOT NULL CONSTRAINT ck_exposure_from_on_range CHECK (from_on BETWEEN '1990-01-01' AND '2199-12-31'),
	to_on TEXT CONSTRAINT ck_exposure_to_on_range CHECK (to_on BETWEEN '1990-01-01' AND '2199-12-31'),
	witnessed INTEGER NOT NULL CONSTRAINT ck_exposure_witnessed_bounds CHECK ("witnessed" BETWEEN 0 AND 1),
	evidence TEXT NOT NULL CONSTRAINT ck_exposure_evidence_length CHECK (length(evidence) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_exposure PRIMARY KEY (id),
	CONSTRAINT fk_exposure_female_lot_id FOREIGN KEY(female_lot_id) REFERENCES lot (id),
	CONSTRAINT fk_exposure_male_lot_id FOREIGN KEY(male_lot_id) REFERENCES lot (id),
	CONSTRAINT fk_exposure_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_exposure_from_on_real CHECK (from_on IS date(from_on, '+0 days')),
	CONSTRAINT ck_exposure_to_on_real CHECK (to_on IS date(to_on, '+0 days'))
)
 STRICT;
INSERT INTO "exposure" VALUES(1,1,'1',1,'1','2025-06-02',NULL,0,'1',1);
CREATE TABLE exposure_end (
	id INTEGER NOT NULL,
	exposure_id INTEGER NOT NULL,
	to_on TEXT NOT NULL CONSTRAINT ck_exposure_end_to_on_range CHECK (to_on BETWEEN '1990-01-01' AND '2199-12-31'),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_exposure_end PRIMARY KEY (id),
	CONSTRAINT uq_exposure_end_exposure_id UNIQUE (exposure_id),
	CONSTRAINT fk_exposure_end_exposure_id FOREIGN KEY(exposure_id) REFERENCES exposure (id),
	CONSTRAINT fk_exposure_end_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_exposure_end_to_on_real CHECK (to_on IS date(to_on, '+0 days'))
)
 STRICT;
INSERT INTO "exposure_end" VALUES(1,1,'2025-06-02',1);
CREATE TABLE fair (
	id INTEGER NOT NULL,
	name TEXT NOT NULL CONSTRAINT ck_fair_name_length CHECK (length(name) <= 120),
	held_on TEXT NOT NULL CONSTRAINT ck_fair_held_on_range CHECK (held_on BETWEEN '1990-01-01' AND '2199-12-31'),
	last_on TEXT NOT NULL CONSTRAINT ck_fair_last_on_range CHECK (last_on BETWEEN '1990-01-01' AND '2199-12-31'),
	cash_float INTEGER NOT NULL CONSTRAINT ck_fair_cash_float_bounds CHECK ("cash_float" BETWEEN 0 AND 100000000000),
	note TEXT NOT NULL CONSTRAINT ck_fair_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_fair PRIMARY KEY (id),
	CONSTRAINT ck_fair_day_order CHECK (held_on <= last_on),
	CONSTRAINT fk_fair_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_fair_held_on_real CHECK (held_on IS date(held_on, '+0 days')),
	CONSTRAINT ck_fair_last_on_real CHECK (last_on IS date(last_on, '+0 days'))
)
 STRICT;
INSERT INTO "fair" VALUES(1,'1','2025-06-02','2025-06-02',0,'1',1);
CREATE TABLE fair_change (
	id INTEGER NOT NULL,
	fair_id INTEGER NOT NULL,
	name TEXT NOT NULL CONSTRAINT ck_fair_change_name_length CHECK (length(name) <= 120),
	held_on TEXT NOT NULL CONSTRAINT ck_fair_change_held_on_range CHECK (held_on BETWEEN '1990-01-01' AND '2199-12-31'),
	last_on TEXT NOT NULL CONSTRAINT ck_fair_change_last_on_range CHECK (last_on BETWEEN '1990-01-01' AND '2199-12-31'),
	cash_float INTEGER NOT NULL CONSTRAINT ck_fair_change_cash_float_bounds CHECK ("cash_float" BETWEEN 0 AND 100000000000),
	note TEXT NOT NULL CONSTRAINT ck_fair_change_note_length CHECK (length(note) <= 2000),
	called_off INTEGER NOT NULL CONSTRAINT ck_fair_change_called_off_bounds CHECK ("called_off" BETWEEN 0 AND 1),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_fair_change PRIMARY KEY (id),
	CONSTRAINT ck_fair_change_day_order CHECK (held_on <= last_on),
	CONSTRAINT fk_fair_change_fair_id FOREIGN KEY(fair_id) REFERENCES fair (id),
	CONSTRAINT fk_fair_change_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_fair_change_held_on_real CHECK (held_on IS date(held_on, '+0 days')),
	CONSTRAINT ck_fair_change_last_on_real CHECK (last_on IS date(last_on, '+0 days'))
)
 STRICT;
INSERT INTO "fair_change" VALUES(1,1,'1','2025-06-02','2025-06-02',0,'1',0,1);
CREATE TABLE fair_cost (
	id INTEGER NOT NULL,
	fair_id INTEGER NOT NULL,
	cost_id INTEGER NOT NULL,
	from_cash INTEGER NOT NULL CONSTRAINT ck_fair_cost_from_cash_bounds CHECK ("from_cash" BETWEEN 0 AND 1),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_fair_cost PRIMARY KEY (id),
	CONSTRAINT fk_fair_cost_fair_id FOREIGN KEY(fair_id) REFERENCES fair (id),
	CONSTRAINT uq_fair_cost_cost_id UNIQUE (cost_id),
	CONSTRAINT fk_fair_cost_cost_id FOREIGN KEY(cost_id) REFERENCES cost (id),
	CONSTRAINT fk_fair_cost_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "fair_cost" VALUES(1,1,1,0,1);
CREATE TABLE fair_end (
	id INTEGER NOT NULL,
	fair_id INTEGER NOT NULL,
	ended_on TEXT NOT NULL CONSTRAINT ck_fair_end_ended_on_range CHECK (ended_on BETWEEN '1990-01-01' AND '2199-12-31'),
	counted INTEGER NOT NULL CONSTRAINT ck_fair_end_counted_bounds CHECK ("counted" BETWEEN 0 AND 100000000000),
	expected INTEGER NOT NULL CONSTRAINT ck_fair_end_expected_bounds CHECK ("expected" BETWEEN -100000000000 AND 100000000000),
	put_in INTEGER NOT NULL CONSTRAINT ck_fair_end_put_in_bounds CHECK ("put_in" BETWEEN 0 AND 100000000000),
	taken_out INTEGER NOT NULL CONSTRAINT ck_fair_end_taken_out_bounds CHECK ("taken_out" BETWEEN 0 AND 100000000000),
	why TEXT NOT NULL CONSTRAINT ck_fair_end_why_length CHECK (length(why) <= 500),
	note TEXT NOT NULL CONSTRAINT ck_fair_end_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_fair_end PRIMARY KEY (id),
	CONSTRAINT fk_fair_end_fair_id FOREIGN KEY(fair_id) REFERENCES fair (id),
	CONSTRAINT fk_fair_end_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_fair_end_ended_on_real CHECK (ended_on IS date(ended_on, '+0 days'))
)
 STRICT;
INSERT INTO "fair_end" VALUES(1,1,'2025-06-02',0,0,0,0,'1','1',1);
CREATE TABLE fair_pack (
	id INTEGER NOT NULL,
	fair_id INTEGER NOT NULL,
	mark TEXT NOT NULL CONSTRAINT ck_fair_pack_mark_length CHECK (length(mark) <= 12),
	pack TEXT NOT NULL CONSTRAINT ck_fair_pack_pack_length CHECK (length(pack) <= 80),
	price INTEGER NOT NULL CONSTRAINT ck_fair_pack_price_bounds CHECK ("price" BETWEEN 0 AND 100000000000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_fair_pack PRIMARY KEY (id),
	CONSTRAINT fk_fair_pack_fair_id FOREIGN KEY(fair_id) REFERENCES fair (id),
	CONSTRAINT fk_fair_pack_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "fair_pack" VALUES(1,1,'1','1',0,1);
CREATE TABLE fair_pack_line (
	id INTEGER NOT NULL,
	fair_pack_id INTEGER NOT NULL,
	earmark_id INTEGER NOT NULL,
	extra INTEGER NOT NULL CONSTRAINT ck_fair_pack_line_extra_bounds CHECK ("extra" BETWEEN 0 AND 1000000),
	CONSTRAINT pk_fair_pack_line PRIMARY KEY (id),
	CONSTRAINT fk_fair_pack_line_fair_pack_id FOREIGN KEY(fair_pack_id) REFERENCES fair_pack (id),
	CONSTRAINT uq_fair_pack_line_earmark_id UNIQUE (earmark_id),
	CONSTRAINT fk_fair_pack_line_earmark_id FOREIGN KEY(earmark_id) REFERENCES earmark (id)
)
 STRICT;
INSERT INTO "fair_pack_line" VALUES(1,1,1,0);
CREATE TABLE fair_pack_sale (
	id INTEGER NOT NULL,
	fair_pack_id INTEGER NOT NULL,
	sale_id INTEGER NOT NULL,
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_fair_pack_sale PRIMARY KEY (id),
	CONSTRAINT uq_fair_pack_sale_fair_pack_id UNIQUE (fair_pack_id),
	CONSTRAINT fk_fair_pack_sale_fair_pack_id FOREIGN KEY(fair_pack_id) REFERENCES fair_pack (id),
	CONSTRAINT uq_fair_pack_sale_sale_id UNIQUE (sale_id),
	CONSTRAINT fk_fair_pack_sale_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id),
	CONSTRAINT fk_fair_pack_sale_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "fair_pack_sale" VALUES(1,1,1,1);
CREATE TABLE figure (
	id INTEGER NOT NULL,
	species_id INTEGER NOT NULL,
	stage_id INTEGER,
	name TEXT NOT NULL CONSTRAINT ck_figure_name_choice CHECK (name IN ('saleable', 'do not post', 'hardening days', 'days low', 'days high', 'planning survival', 'care weight', 'loss rate', 'standard cost', 'stored sperm days', 'breeding life days', 'without mating', 'round days')),
	value INTEGER NOT NULL CONSTRAINT ck_figure_value_bounds CHECK ("value" BETWEEN 0 AND 1000000000),
	from_on TEXT NOT NULL CONSTRAINT ck_figure_from_on_range CHECK (from_on BETWEEN '1990-01-01' AND '2199-12-31'),
	source TEXT NOT NULL CONSTRAINT ck_figure_source_length CHECK (length(source) <= 1000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_figure PRIMARY KEY (id),
	CONSTRAINT fk_figure_species_id FOREIGN KEY(species_id) REFERENCES species (id),
	CONSTRAINT fk_figure_stage_id FOREIGN KEY(stage_id) REFERENCES stage (id),
	CONSTRAINT fk_figure_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_figure_from_on_real CHECK (from_on IS date(from_on, '+0 days'))
)
 STRICT;
INSERT INTO "figure" VALUES(1,1,NULL,'saleable',0,'2025-06-02','1',1);
CREATE TABLE giving (
	id INTEGER NOT NULL,
	entry_id INTEGER NOT NULL,
	kind TEXT NOT NULL CONSTRAINT ck_giving_kind_choice CHECK (kind IN ('gift', 'sample', 'own use')),
	customer_id INTEGER,
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_giving PRIMARY KEY (id),
	CONSTRAINT uq_giving_entry_id UNIQUE (entry_id),
	CONSTRAINT fk_giving_entry_id FOREIGN KEY(entry_id) REFERENCES entry (id),
	CONSTRAINT fk_giving_customer_id FOREIGN KEY(customer_id) REFERENCES customer (id),
	CONSTRAINT fk_giving_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "giving" VALUES(1,1,'gift',NULL,1);
CREATE TABLE hold (
	id INTEGER NOT NULL,
	number TEXT NOT NULL CONSTRAINT ck_hold_number_length CHECK (length(number) <= 20),
	customer_id INTEGER NOT NULL,
	made_on TEXT NOT NULL CONSTRAINT ck_hold_made_on_range CHECK (made_on BETWEEN '1990-01-01' AND '2199-12-31'),
	until TEXT NOT NULL CONSTRAINT ck_hold_until_length CHECK (length(until) <= 16),
	deposit INTEGER NOT NULL CONSTRAINT ck_hold_deposit_bounds CHECK ("deposit" BETWEEN 0 AND 100000000000),
	note TEXT NOT NULL CONSTRAINT ck_hold_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_hold PRIMARY KEY (id),
	CONSTRAINT uq_hold_number UNIQUE (number),
	CONSTRAINT fk_hold_customer_id FOREIGN KEY(customer_id) REFERENCES customer (id),
	CONSTRAINT fk_hold_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_hold_made_on_real CHECK (made_on IS date(made_on, '+0 days'))
)
 STRICT;
INSERT INTO "hold" VALUES(1,'1',1,'2025-06-02','1',0,'1',1);
CREATE TABLE hold_fate (
	id INTEGER NOT NULL,
	hold_id INTEGER NOT NULL,
	fate TEXT NOT NULL CONSTRAINT ck_hold_fate_fate_choice CHECK (fate IN ('taken up', 'lapsed', 'released')),
	happened_on TEXT NOT NULL CONSTRAINT ck_hold_fate_happened_on_range CHECK (happened_on BETWEEN '1990-01-01' AND '2199-12-31'),
	deposit TEXT NOT NULL CONSTRAINT ck_hold_fate_deposit_choice CHECK (deposit IN ('none', 'applied', 'refunded', 'kept', 'undecided')),
	note TEXT NOT NULL CONSTRAINT ck_hold_fate_note_length CHECK (length(note) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_hold_fate PRIMARY KEY (id),
	CONSTRAINT uq_hold_fate_hold_id UNIQUE (hold_id),
	CONSTRAINT fk_hold_fate_hold_id FOREIGN KEY(hold_id) REFERENCES hold (id),
	CONSTRAINT fk_hold_fate_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_hold_fate_happened_on_real CHECK (happened_on IS date(happened_on, '+0 days'))
)
 STRICT;
INSERT INTO "hold_fate" VALUES(1,1,'taken up','2025-06-02','none','1',1);
CREATE TABLE hold_line (
	id INTEGER NOT NULL,
	hold_id INTEGER NOT NULL,
	holding_id INTEGER NOT NULL,
	count INTEGER NOT NULL CONSTRAINT ck_hold_line_count_bounds CHECK ("count" BETWEEN 1 AND 1000000),
	price INTEGER CONSTRAINT ck_hold_line_price_bounds CHECK ("price" BETWEEN 0 AND 100000000000),
	CONSTRAINT pk_hold_line PRIMARY KEY (id),
	CONSTRAINT fk_hold_line_hold_id FOREIGN KEY(hold_id) REFERENCES hold (id),
	CONSTRAINT fk_hold_line_holding_id FOREIGN KEY(holding_id) REFERENCES holding (id)
)
 STRICT;
INSERT INTO "hold_line" VALUES(1,1,1,1,NULL);
CREATE TABLE holding (
	id INTEGER NOT NULL,
	lot_id INTEGER NOT NULL,
	stage_id INTEGER NOT NULL,
	sex TEXT NOT NULL CONSTRAINT ck_holding_sex_choice CHECK (sex IN ('male', 'female', 'hermaphrodite', 'unsexed')),
	sure TEXT NOT NULL CONSTRAINT ck_holding_sure_choice CHECK (sure IN ('', 'probable', 'confirmed')),
	tub TEXT NOT NULL CONSTRAINT ck_holding_tub_length CHECK (length(tub) <= 20),
	count INTEGER NOT NULL CONSTRAINT ck_holding_count_bounds CHECK ("count" BETWEEN 0 AND 1000000),
	earmarked INTEGER NOT NULL CONSTRAINT ck_holding_earmarked_bounds CHECK ("earmarked" BETWEEN 0 AND 1000000),
	CONSTRAINT pk_holding PRIMARY KEY (id),
	CONSTRAINT uq_holding_lot_id_stage_id_sex_sure_tub UNIQUE (lot_id, stage_id, sex, sure, tub),
	CONSTRAINT ck_holding_earmarked_within_count CHECK (earmarked <= count),
	CONSTRAINT fk_holding_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT fk_holding_stage_id FOREIGN KEY(stage_id) REFERENCES stage (id)
)
 STRICT;
INSERT INTO "holding" VALUES(1,1,1,'male','','1',0,0);
CREATE TABLE layer (
	holding_id INTEGER NOT NULL,
	entered_on TEXT NOT NULL CONSTRAINT ck_layer_entered_on_range CHECK (entered_on BETWEEN '1990-01-01' AND '2199-12-31'),
	hard INTEGER NOT NULL CONSTRAINT ck_layer_hard_bounds CHECK ("hard" BETWEEN 0 AND 1),
	count INTEGER NOT NULL CONSTRAINT ck_layer_count_bounds CHECK ("count" BETWEEN 1 AND 1000000),
	id INTEGER NOT NULL,
	CONSTRAINT pk_layer PRIMARY KEY (id),
	CONSTRAINT uq_layer_holding_id_entered_on_hard UNIQUE (holding_id, entered_on, hard),
	CONSTRAINT fk_layer_holding_id FOREIGN KEY(holding_id) REFERENCES holding (id),
	CONSTRAINT ck_layer_entered_on_real CHECK (entered_on IS date(entered_on, '+0 days'))
)
 STRICT;
INSERT INTO "layer" VALUES(1,'2025-06-02',0,1,1);
CREATE TABLE ledger_info (
	id INTEGER NOT NULL CONSTRAINT ck_ledger_info_one_row CHECK (id = 1),
	application TEXT NOT NULL CONSTRAINT ck_ledger_info_application_length CHECK (length(application) <= 20),
	schema_version INTEGER NOT NULL CONSTRAINT ck_ledger_info_schema_version_bounds CHECK ("schema_version" BETWEEN 1 AND 1000000),
	least_reader INTEGER NOT NULL CONSTRAINT ck_ledger_info_least_reader_bounds CHECK ("least_reader" BETWEEN 1 AND 1000000),
	made_at TEXT NOT NULL CONSTRAINT ck_ledger_info_made_at_length CHECK (length(made_at) <= 40),
	currency TEXT NOT NULL CONSTRAINT ck_ledger_info_currency_length CHECK (length(currency) <= 3),
	CONSTRAINT pk_ledger_info PRIMARY KEY (id)
)
 STRICT;
INSERT INTO "ledger_info" VALUES(1,'rearledger',1,1,'2025-06-02T10:00:00+00:00','EUR');
CREATE TABLE loan (
	id INTEGER NOT NULL,
	lot_id INTEGER NOT NULL,
	customer_id INTEGER NOT NULL,
	lent_on TEXT NOT NULL CONSTRAINT ck_loan_lent_on_range CHECK (lent_on BETWEEN '1990-01-01' AND '2199-12-31'),
	back_by TEXT CONSTRAINT ck_loan_back_by_range CHECK (back_by BETWEEN '1990-01-01' AND '2199-12-31'),
	terms TEXT NOT NULL CONSTRAINT ck_loan_terms_length CHECK (length(terms) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_loan PRIMARY KEY (id),
	CONSTRAINT fk_loan_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT fk_loan_customer_id FOREIGN KEY(customer_id) REFERENCES customer (id),
	CONSTRAINT fk_loan_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_loan_lent_on_real CHECK (lent_on IS date(lent_on, '+0 days')),
	CONSTRAINT ck_loan_back_by_real CHECK (back_by IS date(back_by, '+0 days'))
)
 STRICT;
INSERT INTO "loan" VALUES(1,1,1,'2025-06-02',NULL,'1',1);
CREATE TABLE loan_end (
	id INTEGER NOT NULL,
	loan_id INTEGER NOT NULL,
	back_on TEXT NOT NULL CONSTRAINT ck_loan_end_back_on_range CHECK (back_on BETWEEN '1990-01-01' AND '2199-12-31'),
	note TEXT NOT NULL CONSTRAINT ck_loan_end_note_length CHECK (length(note) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_loan_end PRIMARY KEY (id),
	CONSTRAINT uq_loan_end_loan_id UNIQUE (loan_id),
	CONSTRAINT fk_loan_end_loan_id FOREIGN KEY(loan_id) REFERENCES loan (id),
	CONSTRAINT fk_loan_end_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_loan_end_back_on_real CHECK (back_on IS date(back_on, '+0 days'))
)
 STRICT;
INSERT INTO "loan_end" VALUES(1,1,'2025-06-02','1',1);
CREATE TABLE lot (
	id INTEGER NOT NULL,
	code TEXT NOT NULL CONSTRAINT ck_lot_code_length CHECK (length(code) <= 20),
	species_id INTEGER NOT NULL,
	started_from TEXT NOT NULL CONSTRAINT ck_lot_started_from_range CHECK (started_from BETWEEN '1990-01-01' AND '2199-12-31'),
	started_on TEXT NOT NULL CONSTRAINT ck_lot_started_on_range CHECK (started_on BETWEEN '1990-01-01' AND '2199-12-31'),
	line TEXT NOT NULL CONSTRAINT ck_lot_line_length CHECK (length(line) <= 80),
	note TEXT NOT NULL CONSTRAINT ck_lot_note_length CHECK (length(note) <= 2000),
	depth INTEGER NOT NULL CONSTRAINT ck_lot_depth_bounds CHECK ("depth" BETWEEN 0 AND 100000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_lot PRIMARY KEY (id),
	CONSTRAINT ck_lot_start_order CHECK (started_from <= started_on),
	CONSTRAINT uq_lot_code UNIQUE (code),
	CONSTRAINT fk_lot_species_id FOREIGN KEY(species_id) REFERENCES species (id),
	CONSTRAINT fk_lot_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_lot_started_from_real CHECK (started_from IS date(started_from, '+0 days')),
	CONSTRAINT ck_lot_started_on_real CHECK (started_on IS date(started_on, '+0 days'))
)
 STRICT;
INSERT INTO "lot" VALUES(1,'1',1,'2025-06-02','2025-06-02','1','1',0,1);
CREATE TABLE lot_fact (
	id INTEGER NOT NULL,
	lot_id INTEGER NOT NULL,
	fact TEXT NOT NULL CONSTRAINT ck_lot_fact_fact_choice CHECK (fact IN ('purpose', 'place', 'colony', 'containers', 'lent out', 'brood ends', 'brood weight', 'note', 'rests until', 'mark', 'treatment')),
	value TEXT NOT NULL CONSTRAINT ck_lot_fact_value_length CHECK (length(value) <= 2000),
	from_on TEXT NOT NULL CONSTRAINT ck_lot_fact_from_on_range CHECK (from_on BETWEEN '1990-01-01' AND '2199-12-31'),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_lot_fact PRIMARY KEY (id),
	CONSTRAINT fk_lot_fact_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT fk_lot_fact_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_lot_fact_from_on_real CHECK (from_on IS date(from_on, '+0 days'))
)
 STRICT;
INSERT INTO "lot_fact" VALUES(1,1,'purpose','1','2025-06-02',1);
CREATE TABLE lot_source (
	id INTEGER NOT NULL,
	lot_id INTEGER NOT NULL,
	source_id INTEGER NOT NULL,
	how TEXT NOT NULL CONSTRAINT ck_lot_source_how_choice CHECK (how IN ('split', 'merged', 'harvested')),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_lot_source PRIMARY KEY (id),
	CONSTRAINT uq_lot_source_lot_id_source_id UNIQUE (lot_id, source_id),
	CONSTRAINT fk_lot_source_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT fk_lot_source_source_id FOREIGN KEY(source_id) REFERENCES lot (id),
	CONSTRAINT fk_lot_source_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "lot_source" VALUES(1,1,1,'split',1);
CREATE TABLE method (
	id INTEGER NOT NULL,
	name TEXT NOT NULL CONSTRAINT ck_method_name_length CHECK (length(name) <= 60),
	value TEXT NOT NULL CONSTRAINT ck_method_value_length CHECK (length(value) <= 200),
	from_on TEXT NOT NULL CONSTRAINT ck_method_from_on_range CHECK (from_on BETWEEN '1990-01-01' AND '2199-12-31'),
	note TEXT NOT NULL CONSTRAINT ck_method_note_length CHECK (length(note) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_method PRIMARY KEY (id),
	CONSTRAINT fk_method_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_method_from_on_real CHECK (from_on IS date(from_on, '+0 days'))
)
 STRICT;
INSERT INTO "method" VALUES(1,'1','1','2025-06-02','1',1);
CREATE TABLE movement (
	id INTEGER NOT NULL,
	entry_id INTEGER NOT NULL,
	from_holding_id INTEGER,
	to_holding_id INTEGER,
	count INTEGER NOT NULL CONSTRAINT ck_movement_count_bounds CHECK ("count" BETWEEN 1 AND 1000000),
	reason TEXT NOT NULL CONSTRAINT ck_movement_reason_length CHECK (length(reason) <= 30),
	cause TEXT CONSTRAINT ck_movement_cause_choice CHECK (cause IN ('unknown', 'ordinary', 'exceptional')),
	reverses INTEGER,
	relates_to INTEGER,
	value INTEGER CONSTRAINT ck_movement_value_bounds CHECK ("value" BETWEEN 0 AND 100000000000),
	estimated INTEGER NOT NULL CONSTRAINT ck_movement_estimated_bounds CHECK ("estimated" BETWEEN 0 AND 1),
	explained INTEGER NOT NULL CONSTRAINT ck_movement_explained_bounds CHECK ("explained" BETWEEN 0 AND 1),
	CONSTRAINT pk_movement PRIMARY KEY (id),
	CONSTRAINT ck_movement_ends CHECK (from_holding_id IS NOT NULL OR to_holding_id IS NOT NULL),
	CONSTRAINT ck_movement_differ CHECK (from_holding_id <> to_holding_id),
	CONSTRAINT fk_movement_entry_id FOREIGN KEY(entry_id) REFERENCES entry (id),
	CONSTRAINT fk_movement_from_holding_id FOREIGN KEY(from_holding_id) REFERENCES holding (id),
	CONSTRAINT fk_movement_to_holding_id FOREIGN KEY(to_holding_id) REFERENCES holding (id),
	CONSTRAINT uq_movement_reverses UNIQUE (reverses),
	CONSTRAINT fk_movement_reverses FOREIGN KEY(reverses) REFERENCES movement (id),
	CONSTRAINT fk_movement_relates_to FOREIGN KEY(relates_to) REFERENCES movement (id)
)
 STRICT;
INSERT INTO "movement" VALUES(1,1,NULL,1,1,'1',NULL,NULL,NULL,NULL,0,0);
CREATE TABLE observation (
	id INTEGER NOT NULL,
	lot_id INTEGER NOT NULL,
	stage_id INTEGER,
	tub TEXT NOT NULL CONSTRAINT ck_observation_tub_length CHECK (length(tub) <= 20),
	happened_on TEXT NOT NULL CONSTRAINT ck_observation_happened_on_range CHECK (happened_on BETWEEN '1990-01-01' AND '2199-12-31'),
	kind TEXT NOT NULL CONSTRAINT ck_observation_kind_choice CHECK (kind IN ('fed', 'looked', 'counted', 'estimated', 'seen hard')),
	count INTEGER CONSTRAINT ck_observation_count_bounds CHECK ("count" BETWEEN 0 AND 1000000),
	note TEXT NOT NULL CONSTRAINT ck_observation_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_observation PRIMARY KEY (id),
	CONSTRAINT fk_observation_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT fk_observation_stage_id FOREIGN KEY(stage_id) REFERENCES stage (id),
	CONSTRAINT fk_observation_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_observation_happened_on_real CHECK (happened_on IS date(happened_on, '+0 days'))
)
 STRICT;
INSERT INTO "observation" VALUES(1,1,NULL,'1','2025-06-02','fed',NULL,'1',1);
CREATE TABLE operation (
	id INTEGER NOT NULL,
	token TEXT NOT NULL CONSTRAINT ck_operation_token_length CHECK (length(token) <= 64),
	kind TEXT NOT NULL CONSTRAINT ck_operation_kind_length CHECK (length(kind) <= 60),
	digest TEXT NOT NULL CONSTRAINT ck_operation_digest_length CHECK (length(digest) <= 64),
	recorded_at TEXT NOT NULL CONSTRAINT ck_operation_recorded_at_length CHECK (length(recorded_at) <= 40),
	recorded_by TEXT NOT NULL CONSTRAINT ck_operation_recorded_by_length CHECK (length(recorded_by) <= 80),
	source TEXT NOT NULL CONSTRAINT ck_operation_source_length CHECK (length(source) <= 80),
	CONSTRAINT pk_operation PRIMARY KEY (id),
	CONSTRAINT uq_operation_token UNIQUE (token)
)
 STRICT;
INSERT INTO "operation" VALUES(1,'1','1','1','1','1','1');
CREATE TABLE origin_fact (
	id INTEGER NOT NULL,
	lot_id INTEGER NOT NULL,
	kind TEXT NOT NULL CONSTRAINT ck_origin_fact_kind_choice CHECK (kind IN ('stated', 'lowered', 'raised', 'explained')),
	code TEXT NOT NULL CONSTRAINT ck_origin_fact_code_choice CHECK (code IN ('WC', 'WR', 'CH', 'CF', 'CB', 'CBU', 'MIX', 'UNK')),
	generation INTEGER CONSTRAINT ck_origin_fact_generation_bounds CHECK ("generation" BETWEEN 0 AND 1000),
	evidence INTEGER NOT NULL CONSTRAINT ck_origin_fact_evidence_bounds CHECK ("evidence" BETWEEN 0 AND 3),
	country TEXT NOT NULL CONSTRAINT ck_origin_fact_country_length CHECK (length(country) <= 2),
	locality TEXT NOT NULL CONSTRAINT ck_origin_fact_locality_length CHECK (length(locality) <= 200),
	supplier TEXT NOT NULL CONSTRAINT ck_origin_fact_supplier_length CHECK (length(supplier) <= 120),
	documents TEXT NOT NULL CONSTRAINT ck_origin_fact_documents_length CHECK (length(documents) <= 500),
	source_letter TEXT NOT NULL CONSTRAINT ck_origin_fact_source_letter_length CHECK (length(source_letter) <= 20),
	note TEXT NOT NULL CONSTRAINT ck_origin_fact_note_length CHECK (length(note) <= 2000),
	from_on TEXT NOT NULL CONSTRAINT ck_origin_fact_from_on_range CHECK (from_on BETWEEN '1990-01-01' AND '2199-12-31'),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_origin_fact PRIMARY KEY (id),
	CONSTRAINT fk_origin_fact_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT fk_origin_fact_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_origin_fact_from_on_real CHECK (from_on IS date(from_on, '+0 days'))
)
 STRICT;
INSERT INTO "origin_fact" VALUES(1,1,'stated','WC',NULL,0,'1','1','1','1','1','1','2025-06-02',1);
CREATE TABLE outcome (
	operation_id INTEGER NOT NULL,
	answer TEXT NOT NULL CONSTRAINT ck_outcome_answer_length CHECK (length(answer) <= 200000),
	id INTEGER NOT NULL,
	CONSTRAINT pk_outcome PRIMARY KEY (id),
	CONSTRAINT uq_outcome_operation_id UNIQUE (operation_id),
	CONSTRAINT fk_outcome_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "outcome" VALUES(1,'1',1);
CREATE TABLE outlook_week (
	id INTEGER NOT NULL,
	species_id INTEGER NOT NULL,
	issued_on TEXT NOT NULL CONSTRAINT ck_outlook_week_issued_on_range CHECK (issued_on BETWEEN '1990-01-01' AND '2199-12-31'),
	first_day TEXT NOT NULL CONSTRAINT ck_outlook_week_first_day_range CHECK (first_day BETWEEN '1990-01-01' AND '2199-12-31'),
	last_day TEXT NOT NULL CONSTRAINT ck_outlook_week_last_day_range CHECK (last_day BETWEEN '1990-01-01' AND '2199-12-31'),
	low INTEGER NOT NULL CONSTRAINT ck_outlook_week_low_bounds CHECK ("low" BETWEEN 0 AND 1000000),
	high INTEGER NOT NULL CONSTRAINT ck_outlook_week_high_bounds CHECK ("high" BETWEEN 0 AND 1000000),
	expected INTEGER NOT NULL CONSTRAINT ck_outlook_week_expected_bounds CHECK ("expected" BETWEEN 0 AND 1000000000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_outlook_week PRIMARY KEY (id),
	CONSTRAINT uq_outlook_week_species_id_issued_on_first_day UNIQUE (species_id, issued_on, first_day),
	CONSTRAINT ck_outlook_week_ahead CHECK (issued_on < first_day AND first_day <= last_day),
	CONSTRAINT ck_outlook_week_range CHECK (low <= high),
	CONSTRAINT fk_outlook_week_species_id FOREIGN KEY(species_id) REFERENCES species (id),
	CONSTRAINT fk_outlook_week_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_outlook_week_issued_on_real CHECK (issued_on IS date(issued_on, '+0 days')),
	CONSTRAINT ck_outlook_week_first_day_real CHECK (first_day IS date(first_day, '+0 days')),
	CONSTRAINT ck_outlook_week_last_day_real CHECK (last_day IS date(last_day, '+0 days'))
)
 STRICT;
INSERT INTO "outlook_week" VALUES(1,1,'2025-06-01','2025-06-02','2025-06-02',0,0,0,1);
CREATE TABLE own_hours (
	id INTEGER NOT NULL,
	happened_on TEXT NOT NULL CONSTRAINT ck_own_hours_happened_on_range CHECK (happened_on BETWEEN '1990-01-01' AND '2199-12-31'),
	minutes INTEGER NOT NULL CONSTRAINT ck_own_hours_minutes_bounds CHECK ("minutes" BETWEEN 1 AND 1000000),
	work TEXT NOT NULL CONSTRAINT ck_own_hours_work_length CHECK (length(work) <= 200),
	species_id INTEGER,
	lot_id INTEGER,
	reverses INTEGER,
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_own_hours PRIMARY KEY (id),
	CONSTRAINT ck_own_hours_whom CHECK (species_id IS NULL OR lot_id IS NULL),
	CONSTRAINT fk_own_hours_species_id FOREIGN KEY(species_id) REFERENCES species (id),
	CONSTRAINT fk_own_hours_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT uq_own_hours_reverses UNIQUE (reverses),
	CONSTRAINT fk_own_hours_reverses FOREIGN KEY(reverses) REFERENCES own_hours (id),
	CONSTRAINT fk_own_hours_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_own_hours_happened_on_real CHECK (happened_on IS date(happened_on, '+0 days'))
)
 STRICT;
INSERT INTO "own_hours" VALUES(1,'2025-06-02',1,'1',NULL,NULL,NULL,1);
CREATE TABLE parent (
	id INTEGER NOT NULL,
	lot_id INTEGER NOT NULL,
	role TEXT NOT NULL CONSTRAINT ck_parent_role_choice CHECK (role IN ('mother', 'father')),
	parent_lot_id INTEGER NOT NULL,
	parent_tub TEXT NOT NULL CONSTRAINT ck_parent_parent_tub_length CHECK (length(parent_tub) <= 20),
	laid_from TEXT CONSTRAINT ck_parent_laid_from_range CHECK (laid_from BETWEEN '1990-01-01' AND '2199-12-31'),
	laid_on TEXT CONSTRAINT ck_parent_laid_on_range CHECK (laid_on BETWEEN '1990-01-01' AND '2199-12-31'),
	evidence TEXT NOT NULL CONSTRAINT ck_parent_evidence_length CHECK (length(evidence) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_parent PRIMARY KEY (id),
	CONSTRAINT fk_parent_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT fk_parent_parent_lot_id FOREIGN KEY(parent_lot_id) REFERENCES lot (id),
	CONSTRAINT fk_parent_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_parent_laid_from_real CHECK (laid_from IS date(laid_from, '+0 days')),
	CONSTRAINT ck_parent_laid_on_real CHECK (laid_on IS date(laid_on, '+0 days'))
)
 STRICT;
INSERT INTO "parent" VALUES(1,1,'mother',1,'1',NULL,NULL,'1',1);
CREATE TABLE payment (
	id INTEGER NOT NULL,
	sale_id INTEGER,
	hold_id INTEGER,
	paid_on TEXT NOT NULL CONSTRAINT ck_payment_paid_on_range CHECK (paid_on BETWEEN '1990-01-01' AND '2199-12-31'),
	accounting_on TEXT NOT NULL CONSTRAINT ck_payment_accounting_on_range CHECK (accounting_on BETWEEN '1990-01-01' AND '2199-12-31'),
	amount INTEGER NOT NULL CONSTRAINT ck_payment_amount_bounds CHECK ("amount" BETWEEN -100000000000 AND 100000000000),
	method TEXT NOT NULL CONSTRAINT ck_payment_method_length CHECK (length(method) <= 40),
	note TEXT NOT NULL CONSTRAINT ck_payment_note_length CHECK (length(note) <= 500),
	reverses INTEGER,
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_payment PRIMARY KEY (id),
	CONSTRAINT ck_payment_amount_some CHECK (amount <> 0),
	CONSTRAINT ck_payment_for_what CHECK (sale_id IS NOT NULL OR hold_id IS NOT NULL),
	CONSTRAINT fk_payment_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id),
	CONSTRAINT fk_payment_hold_id FOREIGN KEY(hold_id) REFERENCES hold (id),
	CONSTRAINT uq_payment_reverses UNIQUE (reverses),
	CONSTRAINT fk_payment_reverses FOREIGN KEY(reverses) REFERENCES payment (id),
	CONSTRAINT fk_payment_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_payment_paid_on_real CHECK (paid_on IS date(paid_on, '+0 days')),
	CONSTRAINT ck_payment_accounting_on_real CHECK (accounting_on IS date(accounting_on, '+0 days'))
)
 STRICT;
INSERT INTO "payment" VALUES(1,1,NULL,'2025-06-02','2025-06-02',5,'1','1',NULL,1);
CREATE TABLE period (
	year INTEGER NOT NULL,
	first_day TEXT NOT NULL CONSTRAINT ck_period_first_day_range CHECK (first_day BETWEEN '1990-01-01' AND '2199-12-31'),
	last_day TEXT NOT NULL CONSTRAINT ck_period_last_day_range CHECK (last_day BETWEEN '1990-01-01' AND '2199-12-31'),
	closed INTEGER NOT NULL CONSTRAINT ck_period_closed_bounds CHECK ("closed" BETWEEN 0 AND 1),
	CONSTRAINT pk_period PRIMARY KEY (year),
	CONSTRAINT uq_period_first_day UNIQUE (first_day),
	CONSTRAINT uq_period_last_day UNIQUE (last_day),
	CONSTRAINT ck_period_first_day_real CHECK (first_day IS date(first_day, '+0 days')),
	CONSTRAINT ck_period_last_day_real CHECK (last_day IS date(last_day, '+0 days'))
)
 STRICT;
INSERT INTO "period" VALUES(1990,'1990-01-01','1990-12-31',0);
INSERT INTO "period" VALUES(1991,'1991-01-01','1991-12-31',0);
INSERT INTO "period" VALUES(1992,'1992-01-01','1992-12-31',0);
INSERT INTO "period" VALUES(1993,'1993-01-01','1993-12-31',0);
INSERT INTO "period" VALUES(1994,'1994-01-01','1994-12-31',0);
INSERT INTO "period" VALUES(1995,'1995-01-01','1995-12-31',0);
INSERT INTO "period" VALUES(1996,'1996-01-01','1996-12-31',0);
INSERT INTO "period" VALUES(1997,'1997-01-01','1997-12-31',0);
INSERT INTO "period" VALUES(1998,'1998-01-01','1998-12-31',0);
INSERT INTO "period" VALUES(1999,'1999-01-01','1999-12-31',0);
INSERT INTO "period" VALUES(2000,'2000-01-01','2000-12-31',0);
INSERT INTO "period" VALUES(2001,'2001-01-01','2001-12-31',0);
INSERT INTO "period" VALUES(2002,'2002-01-01','2002-12-31',0);
INSERT INTO "period" VALUES(2003,'2003-01-01','2003-12-31',0);
INSERT INTO "period" VALUES(2004,'2004-01-01','2004-12-31',0);
INSERT INTO "period" VALUES(2005,'2005-01-01','2005-12-31',0);
INSERT INTO "period" VALUES(2006,'2006-01-01','2006-12-31',0);
INSERT INTO "period" VALUES(2007,'2007-01-01','2007-12-31',0);
INSERT INTO "period" VALUES(2008,'2008-01-01','2008-12-31',0);
INSERT INTO "period" VALUES(2009,'2009-01-01','2009-12-31',0);
INSERT INTO "period" VALUES(2010,'2010-01-01','2010-12-31',0);
INSERT INTO "period" VALUES(2011,'2011-01-01','2011-12-31',0);
INSERT INTO "period" VALUES(2012,'2012-01-01','2012-12-31',0);
INSERT INTO "period" VALUES(2013,'2013-01-01','2013-12-31',0);
INSERT INTO "period" VALUES(2014,'2014-01-01','2014-12-31',0);
INSERT INTO "period" VALUES(2015,'2015-01-01','2015-12-31',0);
INSERT INTO "period" VALUES(2016,'2016-01-01','2016-12-31',0);
INSERT INTO "period" VALUES(2017,'2017-01-01','2017-12-31',0);
INSERT INTO "period" VALUES(2018,'2018-01-01','2018-12-31',0);
INSERT INTO "period" VALUES(2019,'2019-01-01','2019-12-31',0);
INSERT INTO "period" VALUES(2020,'2020-01-01','2020-12-31',0);
INSERT INTO "period" VALUES(2021,'2021-01-01','2021-12-31',0);
INSERT INTO "period" VALUES(2022,'2022-01-01','2022-12-31',0);
INSERT INTO "period" VALUES(2023,'2023-01-01','2023-12-31',0);
INSERT INTO "period" VALUES(2024,'2024-01-01','2024-12-31',0);
INSERT INTO "period" VALUES(2025,'2025-01-01','2025-12-31',0);
INSERT INTO "period" VALUES(2026,'2026-01-01','2026-12-31',0);
INSERT INTO "period" VALUES(2027,'2027-01-01','2027-12-31',0);
INSERT INTO "period" VALUES(2028,'2028-01-01','2028-12-31',0);
INSERT INTO "period" VALUES(2029,'2029-01-01','2029-12-31',0);
INSERT INTO "period" VALUES(2030,'2030-01-01','2030-12-31',0);
INSERT INTO "period" VALUES(2031,'2031-01-01','2031-12-31',0);
INSERT INTO "period" VALUES(2032,'2032-01-01','2032-12-31',0);
INSERT INTO "period" VALUES(2033,'2033-01-01','2033-12-31',0);
INSERT INTO "period" VALUES(2034,'2034-01-01','2034-12-31',0);
INSERT INTO "period" VALUES(2035,'2035-01-01','2035-12-31',0);
INSERT INTO "period" VALUES(2036,'2036-01-01','2036-12-31',0);
INSERT INTO "period" VALUES(2037,'2037-01-01','2037-12-31',0);
INSERT INTO "period" VALUES(2038,'2038-01-01','2038-12-31',0);
INSERT INTO "period" VALUES(2039,'2039-01-01','2039-12-31',0);
INSERT INTO "period" VALUES(2040,'2040-01-01','2040-12-31',0);
INSERT INTO "period" VALUES(2041,'2041-01-01','2041-12-31',0);
INSERT INTO "period" VALUES(2042,'2042-01-01','2042-12-31',0);
INSERT INTO "period" VALUES(2043,'2043-01-01','2043-12-31',0);
INSERT INTO "period" VALUES(2044,'2044-01-01','2044-12-31',0);
INSERT INTO "period" VALUES(2045,'2045-01-01','2045-12-31',0);
INSERT INTO "period" VALUES(2046,'2046-01-01','2046-12-31',0);
INSERT INTO "period" VALUES(2047,'2047-01-01','2047-12-31',0);
INSERT INTO "period" VALUES(2048,'2048-01-01','2048-12-31',0);
INSERT INTO "period" VALUES(2049,'2049-01-01','2049-12-31',0);
INSERT INTO "period" VALUES(2050,'2050-01-01','2050-12-31',0);
INSERT INTO "period" VALUES(2051,'2051-01-01','2051-12-31',0);
INSERT INTO "period" VALUES(2052,'2052-01-01','2052-12-31',0);
INSERT INTO "period" VALUES(2053,'2053-01-01','2053-12-31',0);
INSERT INTO "period" VALUES(2054,'2054-01-01','2054-12-31',0);
INSERT INTO "period" VALUES(2055,'2055-01-01','2055-12-31',0);
INSERT INTO "period" VALUES(2056,'2056-01-01','2056-12-31',0);
INSERT INTO "period" VALUES(2057,'2057-01-01','2057-12-31',0);
INSERT INTO "period" VALUES(2058,'2058-01-01','2058-12-31',0);
INSERT INTO "period" VALUES(2059,'2059-01-01','2059-12-31',0);
INSERT INTO "period" VALUES(2060,'2060-01-01','2060-12-31',0);
INSERT INTO "period" VALUES(2061,'2061-01-01','2061-12-31',0);
INSERT INTO "period" VALUES(2062,'2062-01-01','2062-12-31',0);
INSERT INTO "period" VALUES(2063,'2063-01-01','2063-12-31',0);
INSERT INTO "period" VALUES(2064,'2064-01-01','2064-12-31',0);
INSERT INTO "period" VALUES(2065,'2065-01-01','2065-12-31',0);
INSERT INTO "period" VALUES(2066,'2066-01-01','2066-12-31',0);
INSERT INTO "period" VALUES(2067,'2067-01-01','2067-12-31',0);
INSERT INTO "period" VALUES(2068,'2068-01-01','2068-12-31',0);
INSERT INTO "period" VALUES(2069,'2069-01-01','2069-12-31',0);
INSERT INTO "period" VALUES(2070,'2070-01-01','2070-12-31',0);
INSERT INTO "period" VALUES(2071,'2071-01-01','2071-12-31',0);
INSERT INTO "period" VALUES(2072,'2072-01-01','2072-12-31',0);
INSERT INTO "period" VALUES(2073,'2073-01-01','2073-12-31',0);
INSERT INTO "period" VALUES(2074,'2074-01-01','2074-12-31',0);
INSERT INTO "period" VALUES(2075,'2075-01-01','2075-12-31',0);
INSERT INTO "period" VALUES(2076,'2076-01-01','2076-12-31',0);
INSERT INTO "period" VALUES(2077,'2077-01-01','2077-12-31',0);
INSERT INTO "period" VALUES(2078,'2078-01-01','2078-12-31',0);
INSERT INTO "period" VALUES(2079,'2079-01-01','2079-12-31',0);
INSERT INTO "period" VALUES(2080,'2080-01-01','2080-12-31',0);
INSERT INTO "period" VALUES(2081,'2081-01-01','2081-12-31',0);
INSERT INTO "period" VALUES(2082,'2082-01-01','2082-12-31',0);
INSERT INTO "period" VALUES(2083,'2083-01-01','2083-12-31',0);
INSERT INTO "period" VALUES(2084,'2084-01-01','2084-12-31',0);
INSERT INTO "period" VALUES(2085,'2085-01-01','2085-12-31',0);
INSERT INTO "period" VALUES(2086,'2086-01-01','2086-12-31',0);
INSERT INTO "period" VALUES(2087,'2087-01-01','2087-12-31',0);
INSERT INTO "period" VALUES(2088,'2088-01-01','2088-12-31',0);
INSERT INTO "period" VALUES(2089,'2089-01-01','2089-12-31',0);
INSERT INTO "period" VALUES(2090,'2090-01-01','2090-12-31',0);
INSERT INTO "period" VALUES(2091,'2091-01-01','2091-12-31',0);
INSERT INTO "period" VALUES(2092,'2092-01-01','2092-12-31',0);
INSERT INTO "period" VALUES(2093,'2093-01-01','2093-12-31',0);
INSERT INTO "period" VALUES(2094,'2094-01-01','2094-12-31',0);
INSERT INTO "period" VALUES(2095,'2095-01-01','2095-12-31',0);
INSERT INTO "period" VALUES(2096,'2096-01-01','2096-12-31',0);
INSERT INTO "period" VALUES(2097,'2097-01-01','2097-12-31',0);
INSERT INTO "period" VALUES(2098,'2098-01-01','2098-12-31',0);
INSERT INTO "period" VALUES(2099,'2099-01-01','2099-12-31',0);
INSERT INTO "period" VALUES(2100,'2100-01-01','2100-12-31',0);
INSERT INTO "period" VALUES(2101,'2101-01-01','2101-12-31',0);
INSERT INTO "period" VALUES(2102,'2102-01-01','2102-12-31',0);
INSERT INTO "period" VALUES(2103,'2103-01-01','2103-12-31',0);
INSERT INTO "period" VALUES(2104,'2104-01-01','2104-12-31',0);
INSERT INTO "period" VALUES(2105,'2105-01-01','2105-12-31',0);
INSERT INTO "period" VALUES(2106,'2106-01-01','2106-12-31',0);
INSERT INTO "period" VALUES(2107,'2107-01-01','2107-12-31',0);
INSERT INTO "period" VALUES(2108,'2108-01-01','2108-12-31',0);
INSERT INTO "period" VALUES(2109,'2109-01-01','2109-12-31',0);
INSERT INTO "period" VALUES(2110,'2110-01-01','2110-12-31',0);
INSERT INTO "period" VALUES(2111,'2111-01-01','2111-12-31',0);
INSERT INTO "period" VALUES(2112,'2112-01-01','2112-12-31',0);
INSERT INTO "period" VALUES(2113,'2113-01-01','2113-12-31',0);
INSERT INTO "period" VALUES(2114,'2114-01-01','2114-12-31',0);
INSERT INTO "period" VALUES(2115,'2115-01-01','2115-12-31',0);
INSERT INTO "period" VALUES(2116,'2116-01-01','2116-12-31',0);
INSERT INTO "period" VALUES(2117,'2117-01-01','2117-12-31',0);
INSERT INTO "period" VALUES(2118,'2118-01-01','2118-12-31',0);
INSERT INTO "period" VALUES(2119,'2119-01-01','2119-12-31',0);
INSERT INTO "period" VALUES(2120,'2120-01-01','2120-12-31',0);
INSERT INTO "period" VALUES(2121,'2121-01-01','2121-12-31',0);
INSERT INTO "period" VALUES(2122,'2122-01-01','2122-12-31',0);
INSERT INTO "period" VALUES(2123,'2123-01-01','2123-12-31',0);
INSERT INTO "period" VALUES(2124,'2124-01-01','2124-12-31',0);
INSERT INTO "period" VALUES(2125,'2125-01-01','2125-12-31',0);
INSERT INTO "period" VALUES(2126,'2126-01-01','2126-12-31',0);
INSERT INTO "period" VALUES(2127,'2127-01-01','2127-12-31',0);
INSERT INTO "period" VALUES(2128,'2128-01-01','2128-12-31',0);
INSERT INTO "period" VALUES(2129,'2129-01-01','2129-12-31',0);
INSERT INTO "period" VALUES(2130,'2130-01-01','2130-12-31',0);
INSERT INTO "period" VALUES(2131,'2131-01-01','2131-12-31',0);
INSERT INTO "period" VALUES(2132,'2132-01-01','2132-12-31',0);
INSERT INTO "period" VALUES(2133,'2133-01-01','2133-12-31',0);
INSERT INTO "period" VALUES(2134,'2134-01-01','2134-12-31',0);
INSERT INTO "period" VALUES(2135,'2135-01-01','2135-12-31',0);
INSERT INTO "period" VALUES(2136,'2136-01-01','2136-12-31',0);
INSERT INTO "period" VALUES(2137,'2137-01-01','2137-12-31',0);
INSERT INTO "period" VALUES(2138,'2138-01-01','2138-12-31',0);
INSERT INTO "period" VALUES(2139,'2139-01-01','2139-12-31',0);
INSERT INTO "period" VALUES(2140,'2140-01-01','2140-12-31',0);
INSERT INTO "period" VALUES(2141,'2141-01-01','2141-12-31',0);
INSERT INTO "period" VALUES(2142,'2142-01-01','2142-12-31',0);
INSERT INTO "period" VALUES(2143,'2143-01-01','2143-12-31',0);
INSERT INTO "period" VALUES(2144,'2144-01-01','2144-12-31',0);
INSERT INTO "period" VALUES(2145,'2145-01-01','2145-12-31',0);
INSERT INTO "period" VALUES(2146,'2146-01-01','2146-12-31',0);
INSERT INTO "period" VALUES(2147,'2147-01-01','2147-12-31',0);
INSERT INTO "period" VALUES(2148,'2148-01-01','2148-12-31',0);
INSERT INTO "period" VALUES(2149,'2149-01-01','2149-12-31',0);
INSERT INTO "period" VALUES(2150,'2150-01-01','2150-12-31',0);
INSERT INTO "period" VALUES(2151,'2151-01-01','2151-12-31',0);
INSERT INTO "period" VALUES(2152,'2152-01-01','2152-12-31',0);
INSERT INTO "period" VALUES(2153,'2153-01-01','2153-12-31',0);
INSERT INTO "period" VALUES(2154,'2154-01-01','2154-12-31',0);
INSERT INTO "period" VALUES(2155,'2155-01-01','2155-12-31',0);
INSERT INTO "period" VALUES(2156,'2156-01-01','2156-12-31',0);
INSERT INTO "period" VALUES(2157,'2157-01-01','2157-12-31',0);
INSERT INTO "period" VALUES(2158,'2158-01-01','2158-12-31',0);
INSERT INTO "period" VALUES(2159,'2159-01-01','2159-12-31',0);
INSERT INTO "period" VALUES(2160,'2160-01-01','2160-12-31',0);
INSERT INTO "period" VALUES(2161,'2161-01-01','2161-12-31',0);
INSERT INTO "period" VALUES(2162,'2162-01-01','2162-12-31',0);
INSERT INTO "period" VALUES(2163,'2163-01-01','2163-12-31',0);
INSERT INTO "period" VALUES(2164,'2164-01-01','2164-12-31',0);
INSERT INTO "period" VALUES(2165,'2165-01-01','2165-12-31',0);
INSERT INTO "period" VALUES(2166,'2166-01-01','2166-12-31',0);
INSERT INTO "period" VALUES(2167,'2167-01-01','2167-12-31',0);
INSERT INTO "period" VALUES(2168,'2168-01-01','2168-12-31',0);
INSERT INTO "period" VALUES(2169,'2169-01-01','2169-12-31',0);
INSERT INTO "period" VALUES(2170,'2170-01-01','2170-12-31',0);
INSERT INTO "period" VALUES(2171,'2171-01-01','2171-12-31',0);
INSERT INTO "period" VALUES(2172,'2172-01-01','2172-12-31',0);
INSERT INTO "period" VALUES(2173,'2173-01-01','2173-12-31',0);
INSERT INTO "period" VALUES(2174,'2174-01-01','2174-12-31',0);
INSERT INTO "period" VALUES(2175,'2175-01-01','2175-12-31',0);
INSERT INTO "period" VALUES(2176,'2176-01-01','2176-12-31',0);
INSERT INTO "period" VALUES(2177,'2177-01-01','2177-12-31',0);
INSERT INTO "period" VALUES(2178,'2178-01-01','2178-12-31',0);
INSERT INTO "period" VALUES(2179,'2179-01-01','2179-12-31',0);
INSERT INTO "period" VALUES(2180,'2180-01-01','2180-12-31',0);
INSERT INTO "period" VALUES(2181,'2181-01-01','2181-12-31',0);
INSERT INTO "period" VALUES(2182,'2182-01-01','2182-12-31',0);
INSERT INTO "period" VALUES(2183,'2183-01-01','2183-12-31',0);
INSERT INTO "period" VALUES(2184,'2184-01-01','2184-12-31',0);
INSERT INTO "period" VALUES(2185,'2185-01-01','2185-12-31',0);
INSERT INTO "period" VALUES(2186,'2186-01-01','2186-12-31',0);
INSERT INTO "period" VALUES(2187,'2187-01-01','2187-12-31',0);
INSERT INTO "period" VALUES(2188,'2188-01-01','2188-12-31',0);
INSERT INTO "period" VALUES(2189,'2189-01-01','2189-12-31',0);
INSERT INTO "period" VALUES(2190,'2190-01-01','2190-12-31',0);
INSERT INTO "period" VALUES(2191,'2191-01-01','2191-12-31',0);
INSERT INTO "period" VALUES(2192,'2192-01-01','2192-12-31',0);
INSERT INTO "period" VALUES(2193,'2193-01-01','2193-12-31',0);
INSERT INTO "period" VALUES(2194,'2194-01-01','2194-12-31',0);
INSERT INTO "period" VALUES(2195,'2195-01-01','2195-12-31',0);
INSERT INTO "period" VALUES(2196,'2196-01-01','2196-12-31',0);
INSERT INTO "period" VALUES(2197,'2197-01-01','2197-12-31',0);
INSERT INTO "period" VALUES(2198,'2198-01-01','2198-12-31',0);
INSERT INTO "period" VALUES(2199,'2199-01-01','2199-12-31',0);
CREATE TABLE post_wait (
	id INTEGER NOT NULL,
	sale_id INTEGER NOT NULL,
	from_on TEXT NOT NULL CONSTRAINT ck_post_wait_from_on_range CHECK (from_on BETWEEN '1990-01-01' AND '2199-12-31'),
	look_on TEXT CONSTRAINT ck_post_wait_look_on_range CHECK (look_on BETWEEN '1990-01-01' AND '2199-12-31'),
	why TEXT NOT NULL CONSTRAINT ck_post_wait_why_length CHECK (length(why) <= 200),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_post_wait PRIMARY KEY (id),
	CONSTRAINT fk_post_wait_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id),
	CONSTRAINT fk_post_wait_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_post_wait_from_on_real CHECK (from_on IS date(from_on, '+0 days')),
	CONSTRAINT ck_post_wait_look_on_real CHECK (look_on IS date(look_on, '+0 days'))
)
 STRICT;
INSERT INTO "post_wait" VALUES(1,1,'2025-06-02',NULL,'1',1);
CREATE TABLE posting (
	id INTEGER NOT NULL,
	sale_id INTEGER NOT NULL,
	posted_on TEXT NOT NULL CONSTRAINT ck_posting_posted_on_range CHECK (posted_on BETWEEN '1990-01-01' AND '2199-12-31'),
	accounting_on TEXT NOT NULL CONSTRAINT ck_posting_accounting_on_range CHECK (accounting_on BETWEEN '1990-01-01' AND '2199-12-31'),
	entry_id INTEGER NOT NULL,
	coldest INTEGER CONSTRAINT ck_posting_coldest_bounds CHECK ("coldest" BETWEEN -90 AND 70),
	warmest INTEGER CONSTRAINT ck_posting_warmest_bounds CHECK ("warmest" BETWEEN -90 AND 70),
	note TEXT NOT NULL CONSTRAINT ck_posting_note_length CHECK (length(note) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_posting PRIMARY KEY (id),
	CONSTRAINT uq_posting_sale_id UNIQUE (sale_id),
	CONSTRAINT fk_posting_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id),
	CONSTRAINT fk_posting_entry_id FOREIGN KEY(entry_id) REFERENCES entry (id),
	CONSTRAINT fk_posting_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_posting_posted_on_real CHECK (posted_on IS date(posted_on, '+0 days')),
	CONSTRAINT ck_posting_accounting_on_real CHECK (accounting_on IS date(accounting_on, '+0 days'))
)
 STRICT;
INSERT INTO "posting" VALUES(1,1,'2025-06-02','2025-06-02',1,NULL,NULL,'1',1);
CREATE TABLE price (
	id INTEGER NOT NULL,
	species_id INTEGER NOT NULL,
	stage_id INTEGER NOT NULL,
	sex TEXT NOT NULL CONSTRAINT ck_price_sex_choice CHECK (sex IN ('any', 'male', 'female', 'unsexed')),
	pack TEXT NOT NULL CONSTRAINT ck_price_pack_length CHECK (length(pack) <= 40),
	animals INTEGER NOT NULL CONSTRAINT ck_price_animals_bounds CHECK ("animals" BETWEEN 1 AND 1000000),
	extra INTEGER NOT NULL CONSTRAINT ck_price_extra_bounds CHECK ("extra" BETWEEN 0 AND 1000000),
	buyer TEXT NOT NULL CONSTRAINT ck_price_buyer_choice CHECK (buyer IN ('retail', 'trade')),
	amount INTEGER NOT NULL CONSTRAINT ck_price_amount_bounds CHECK ("amount" BETWEEN 0 AND 100000000000),
	from_on TEXT NOT NULL CONSTRAINT ck_price_from_on_range CHECK (from_on BETWEEN '1990-01-01' AND '2199-12-31'),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_price PRIMARY KEY (id),
	CONSTRAINT fk_price_species_id FOREIGN KEY(species_id) REFERENCES species (id),
	CONSTRAINT fk_price_stage_id FOREIGN KEY(stage_id) REFERENCES stage (id),
	CONSTRAINT fk_price_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_price_from_on_real CHECK (from_on IS date(from_on, '+0 days'))
)
 STRICT;
INSERT INTO "price" VALUES(1,1,1,'any','1',1,0,'retail',0,'2025-06-02',1);
CREATE TABLE queue_end (
	id INTEGER NOT NULL,
	queue_place_id INTEGER NOT NULL,
	outcome TEXT NOT NULL CONSTRAINT ck_queue_end_outcome_choice CHECK (outcome IN ('offered', 'left')),
	happened_on TEXT NOT NULL CONSTRAINT ck_queue_end_happened_on_range CHECK (happened_on BETWEEN '1990-01-01' AND '2199-12-31'),
	hold_id INTEGER,
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_queue_end PRIMARY KEY (id),
	CONSTRAINT uq_queue_end_queue_place_id UNIQUE (queue_place_id),
	CONSTRAINT fk_queue_end_queue_place_id FOREIGN KEY(queue_place_id) REFERENCES queue_place (id),
	CONSTRAINT fk_queue_end_hold_id FOREIGN KEY(hold_id) REFERENCES hold (id),
	CONSTRAINT fk_queue_end_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_queue_end_happened_on_real CHECK (happened_on IS date(happened_on, '+0 days'))
)
 STRICT;
INSERT INTO "queue_end" VALUES(1,1,'offered','2025-06-02',NULL,1);
CREATE TABLE queue_place (
	id INTEGER NOT NULL,
	hold_id INTEGER NOT NULL,
	customer_id INTEGER NOT NULL,
	count INTEGER NOT NULL CONSTRAINT ck_queue_place_count_bounds CHECK ("count" BETWEEN 1 AND 1000000),
	asked_on TEXT NOT NULL CONSTRAINT ck_queue_place_asked_on_range CHECK (asked_on BETWEEN '1990-01-01' AND '2199-12-31'),
	note TEXT NOT NULL CONSTRAINT ck_queue_place_note_length CHECK (length(note) <= 500),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_queue_place PRIMARY KEY (id),
	CONSTRAINT fk_queue_place_hold_id FOREIGN KEY(hold_id) REFERENCES hold (id),
	CONSTRAINT fk_queue_place_customer_id FOREIGN KEY(customer_id) REFERENCES customer (id),
	CONSTRAINT fk_queue_place_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_queue_place_asked_on_real CHECK (asked_on IS date(asked_on, '+0 days'))
)
 STRICT;
INSERT INTO "queue_place" VALUES(1,1,1,1,'2025-06-02','1',1);
CREATE TABLE sale (
	id INTEGER NOT NULL,
	number TEXT NOT NULL CONSTRAINT ck_sale_number_length CHECK (length(number) <= 20),
	sold_on TEXT NOT NULL CONSTRAINT ck_sale_sold_on_range CHECK (sold_on BETWEEN '1990-01-01' AND '2199-12-31'),
	accounting_on TEXT NOT NULL CONSTRAINT ck_sale_accounting_on_range CHECK (accounting_on BETWEEN '1990-01-01' AND '2199-12-31'),
	channel TEXT NOT NULL CONSTRAINT ck_sale_channel_choice CHECK (channel IN ('post', 'fair', 'collection', 'trade', 'swap', 'other')),
	customer_id INTEGER,
	customer_name TEXT NOT NULL CONSTRAINT ck_sale_customer_name_length CHECK (length(customer_name) <= 120),
	to_post INTEGER NOT NULL CONSTRAINT ck_sale_to_post_bounds CHECK ("to_post" BETWEEN 0 AND 1),
	hold_id INTEGER,
	note TEXT NOT NULL CONSTRAINT ck_sale_note_length CHECK (length(note) <= 2000),
	own_note TEXT NOT NULL CONSTRAINT ck_sale_own_note_length CHECK (length(own_note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_sale PRIMARY KEY (id),
	CONSTRAINT uq_sale_number UNIQUE (number),
	CONSTRAINT fk_sale_customer_id FOREIGN KEY(customer_id) REFERENCES customer (id),
	CONSTRAINT uq_sale_hold_id UNIQUE (hold_id),
	CONSTRAINT fk_sale_hold_id FOREIGN KEY(hold_id) REFERENCES hold (id),
	CONSTRAINT fk_sale_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_sale_sold_on_real CHECK (sold_on IS date(sold_on, '+0 days')),
	CONSTRAINT ck_sale_accounting_on_real CHECK (accounting_on IS date(accounting_on, '+0 days'))
)
 STRICT;
INSERT INTO "sale" VALUES(1,'1','2025-06-02','2025-06-02','post',NULL,'1',0,NULL,'1','1',1);
CREATE TABLE sale_charge (
	id INTEGER NOT NULL,
	sale_id INTEGER NOT NULL,
	kind TEXT NOT NULL CONSTRAINT ck_sale_charge_kind_choice CHECK (kind IN ('postage', 'packing', 'other')),
	text TEXT NOT NULL CONSTRAINT ck_sale_charge_text_length CHECK (length(text) <= 120),
	amount INTEGER NOT NULL CONSTRAINT ck_sale_charge_amount_bounds CHECK ("amount" BETWEEN 0 AND 100000000000),
	CONSTRAINT pk_sale_charge PRIMARY KEY (id),
	CONSTRAINT fk_sale_charge_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id)
)
 STRICT;
INSERT INTO "sale_charge" VALUES(1,1,'postage','1',0);
CREATE TABLE sale_line (
	id INTEGER NOT NULL,
	sale_id INTEGER NOT NULL,
	position INTEGER NOT NULL CONSTRAINT ck_sale_line_position_bounds CHECK ("position" BETWEEN 0 AND 1000),
	holding_id INTEGER NOT NULL,
	count INTEGER NOT NULL CONSTRAINT ck_sale_line_count_bounds CHECK ("count" BETWEEN 1 AND 1000000),
	extra INTEGER NOT NULL CONSTRAINT ck_sale_line_extra_bounds CHECK ("extra" BETWEEN 0 AND 1000000),
	pack TEXT NOT NULL CONSTRAINT ck_sale_line_pack_length CHECK (length(pack) <= 80),
	together INTEGER NOT NULL CONSTRAINT ck_sale_line_together_bounds CHECK ("together" BETWEEN 0 AND 1000),
	price INTEGER NOT NULL CONSTRAINT ck_sale_line_price_bounds CHECK ("price" BETWEEN 0 AND 100000000000),
	discount INTEGER NOT NULL CONSTRAINT ck_sale_line_discount_bounds CHECK ("discount" BETWEEN 0 AND 100000000000),
	net INTEGER NOT NULL CONSTRAINT ck_sale_line_net_bounds CHECK ("net" BETWEEN 0 AND 100000000000),
	lot_code TEXT NOT NULL CONSTRAINT ck_sale_line_lot_code_length CHECK (length(lot_code) <= 20),
	species_text TEXT NOT NULL CONSTRAINT ck_sale_line_species_text_length CHECK (length(species_text) <= 250),
	stage_text TEXT NOT NULL CONSTRAINT ck_sale_line_stage_text_length CHECK (length(stage_text) <= 40),
	sex_text TEXT NOT NULL CONSTRAINT ck_sale_line_sex_text_length CHECK (length(sex_text) <= 60),
	origin_code TEXT NOT NULL CONSTRAINT ck_sale_line_origin_code_length CHECK (length(origin_code) <= 3),
	origin_generation INTEGER CONSTRAINT ck_sale_line_origin_generation_bounds CHECK ("origin_generation" BETWEEN 0 AND 1000),
	origin_or_later INTEGER NOT NULL CONSTRAINT ck_sale_line_origin_or_later_bounds CHECK ("origin_or_later" BETWEEN 0 AND 1),
	origin_evidence INTEGER NOT NULL CONSTRAINT ck_sale_line_origin_evidence_bounds CHECK ("origin_evidence" BETWEEN 0 AND 3),
	origin_lowered INTEGER NOT NULL CONSTRAINT ck_sale_line_origin_lowered_bounds CHECK ("origin_lowered" BETWEEN 0 AND 1),
	origin_text TEXT NOT NULL CONSTRAINT ck_sale_line_origin_text_length CHECK (length(origin_text) <= 500),
	provenance_text TEXT NOT NULL CONSTRAINT ck_sale_line_provenance_text_length CHECK (length(provenance_text) <= 2000),
	CONSTRAINT pk_sale_line PRIMARY KEY (id),
	CONSTRAINT ck_sale_line_net CHECK (net = price - discount),
	CONSTRAINT ck_sale_line_origin_stated CHECK (origin_text <> ''),
	CONSTRAINT fk_sale_line_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id),
	CONSTRAINT fk_sale_line_holding_id FOREIGN KEY(holding_id) REFERENCES holding (id)
)
 STRICT;
INSERT INTO "sale_line" VALUES(1,1,0,1,1,0,'1',0,0,0,0,'1','1','1','1','1',NULL,0,0,0,'captive-bred','1');
CREATE TABLE sale_movement (
	id INTEGER NOT NULL,
	sale_line_id INTEGER NOT NULL,
	movement_id INTEGER NOT NULL,
	CONSTRAINT pk_sale_movement PRIMARY KEY (id),
	CONSTRAINT fk_sale_movement_sale_line_id FOREIGN KEY(sale_line_id) REFERENCES sale_line (id),
	CONSTRAINT uq_sale_movement_movement_id UNIQUE (movement_id),
	CONSTRAINT fk_sale_movement_movement_id FOREIGN KEY(movement_id) REFERENCES movement (id)
)
 STRICT;
INSERT INTO "sale_movement" VALUES(1,1,1);
CREATE TABLE setting (
	name TEXT NOT NULL CONSTRAINT ck_setting_name_length CHECK (length(name) <= 60),
	value TEXT NOT NULL CONSTRAINT ck_setting_value_length CHECK (length(value) <= 2000),
	CONSTRAINT pk_setting PRIMARY KEY (name)
)
 STRICT;
INSERT INTO "setting" VALUES('1','1');
CREATE TABLE species (
	id INTEGER NOT NULL,
	code TEXT NOT NULL CONSTRAINT ck_species_code_length CHECK (length(code) <= 20),
	scientific TEXT NOT NULL CONSTRAINT ck_species_scientific_length CHECK (length(scientific) <= 120),
	common TEXT NOT NULL CONSTRAINT ck_species_common_length CHECK (length(common) <= 120),
	grp TEXT NOT NULL CONSTRAINT ck_species_grp_length CHECK (length(grp) <= 60),
	template TEXT NOT NULL CONSTRAINT ck_species_template_length CHECK (length(template) <= 60),
	caution TEXT NOT NULL CONSTRAINT ck_species_caution_length CHECK (length(caution) <= 1000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_species PRIMARY KEY (id),
	CONSTRAINT uq_species_code UNIQUE (code),
	CONSTRAINT fk_species_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "species" VALUES(1,'1','1','1','1','1','1',1);
CREATE TABLE species_flag (
	id INTEGER NOT NULL,
	species_id INTEGER NOT NULL,
	kind TEXT NOT NULL CONSTRAINT ck_species_flag_kind_choice CHECK (kind IN ('protected', 'invasive', 'permit', 'post limit')),
	text TEXT NOT NULL CONSTRAINT ck_species_flag_text_length CHECK (length(text) <= 500),
	number TEXT NOT NULL CONSTRAINT ck_species_flag_number_length CHECK (length(number) <= 80),
	expires_on TEXT CONSTRAINT ck_species_flag_expires_on_range CHECK (expires_on BETWEEN '1990-01-01' AND '2199-12-31'),
	from_on TEXT NOT NULL CONSTRAINT ck_species_flag_from_on_range CHECK (from_on BETWEEN '1990-01-01' AND '2199-12-31'),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_species_flag PRIMARY KEY (id),
	CONSTRAINT fk_species_flag_species_id FOREIGN KEY(species_id) REFERENCES species (id),
	CONSTRAINT fk_species_flag_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_species_flag_expires_on_real CHECK (expires_on IS date(expires_on, '+0 days')),
	CONSTRAINT ck_species_flag_from_on_real CHECK (from_on IS date(from_on, '+0 days'))
)
 STRICT;
INSERT INTO "species_flag" VALUES(1,1,'protected','1','1',NULL,'2025-06-02',1);
CREATE TABLE species_flag_end (
	id INTEGER NOT NULL,
	species_flag_id INTEGER NOT NULL,
	ended_on TEXT NOT NULL CONSTRAINT ck_species_flag_end_ended_on_range CHECK (ended_on BETWEEN '1990-01-01' AND '2199-12-31'),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_species_flag_end PRIMARY KEY (id),
	CONSTRAINT fk_species_flag_end_species_flag_id FOREIGN KEY(species_flag_id) REFERENCES species_flag (id),
	CONSTRAINT fk_species_flag_end_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_species_flag_end_ended_on_real CHECK (ended_on IS date(ended_on, '+0 days'))
)
 STRICT;
INSERT INTO "species_flag_end" VALUES(1,1,'2025-06-02',1);
CREATE TABLE stage (
	id INTEGER NOT NULL,
	species_id INTEGER NOT NULL,
	position INTEGER NOT NULL CONSTRAINT ck_stage_position_bounds CHECK ("position" BETWEEN 0 AND 60),
	name TEXT NOT NULL CONSTRAINT ck_stage_name_length CHECK (length(name) <= 40),
	unit TEXT NOT NULL CONSTRAINT ck_stage_unit_choice CHECK (unit IN ('animal', 'object', 'specimen')),
	reared INTEGER NOT NULL CONSTRAINT ck_stage_reared_bounds CHECK ("reared" BETWEEN 0 AND 1),
	CONSTRAINT pk_stage PRIMARY KEY (id),
	CONSTRAINT uq_stage_species_id_position UNIQUE (species_id, position),
	CONSTRAINT uq_stage_species_id_name UNIQUE (species_id, name),
	CONSTRAINT fk_stage_species_id FOREIGN KEY(species_id) REFERENCES species (id)
)
 STRICT;
INSERT INTO "stage" VALUES(1,1,0,'1','animal',0);
CREATE TABLE stated_origin (
	id INTEGER NOT NULL,
	lot_id INTEGER NOT NULL,
	origin_code TEXT NOT NULL CONSTRAINT ck_stated_origin_origin_code_length CHECK (length(origin_code) <= 3),
	origin_generation INTEGER CONSTRAINT ck_stated_origin_origin_generation_bounds CHECK ("origin_generation" BETWEEN 0 AND 1000),
	origin_or_later INTEGER NOT NULL CONSTRAINT ck_stated_origin_origin_or_later_bounds CHECK ("origin_or_later" BETWEEN 0 AND 1),
	origin_evidence INTEGER NOT NULL CONSTRAINT ck_stated_origin_origin_evidence_bounds CHECK ("origin_evidence" BETWEEN 0 AND 3),
	origin_text TEXT NOT NULL CONSTRAINT ck_stated_origin_origin_text_length CHECK (length(origin_text) <= 500),
	provenance_text TEXT NOT NULL CONSTRAINT ck_stated_origin_provenance_text_length CHECK (length(provenance_text) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_stated_origin PRIMARY KEY (id),
	CONSTRAINT ck_stated_origin_origin_stated CHECK (origin_text <> ''),
	CONSTRAINT fk_stated_origin_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT fk_stated_origin_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "stated_origin" VALUES(1,1,'1',NULL,0,0,'1','1',1);
CREATE TABLE store_issue (
	id INTEGER NOT NULL,
	category TEXT NOT NULL CONSTRAINT ck_store_issue_category_length CHECK (length(category) <= 40),
	item TEXT NOT NULL CONSTRAINT ck_store_issue_item_length CHECK (length(item) <= 200),
	quantity INTEGER NOT NULL CONSTRAINT ck_store_issue_quantity_bounds CHECK ("quantity" BETWEEN 1 AND 1000000000000),
	unit TEXT NOT NULL CONSTRAINT ck_store_issue_unit_length CHECK (length(unit) <= 20),
	happened_on TEXT NOT NULL CONSTRAINT ck_store_issue_happened_on_range CHECK (happened_on BETWEEN '1990-01-01' AND '2199-12-31'),
	accounting_on TEXT NOT NULL CONSTRAINT ck_store_issue_accounting_on_range CHECK (accounting_on BETWEEN '1990-01-01' AND '2199-12-31'),
	used_to TEXT NOT NULL CONSTRAINT ck_store_issue_used_to_range CHECK (used_to BETWEEN '1990-01-01' AND '2199-12-31'),
	species_id INTEGER,
	lot_id INTEGER,
	reverses INTEGER,
	note TEXT NOT NULL CONSTRAINT ck_store_issue_note_length CHECK (length(note) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_store_issue PRIMARY KEY (id),
	CONSTRAINT ck_store_issue_window_order CHECK (used_to >= happened_on),
	CONSTRAINT ck_store_issue_whom CHECK (species_id IS NULL OR lot_id IS NULL),
	CONSTRAINT fk_store_issue_species_id FOREIGN KEY(species_id) REFERENCES species (id),
	CONSTRAINT fk_store_issue_lot_id FOREIGN KEY(lot_id) REFERENCES lot (id),
	CONSTRAINT uq_store_issue_reverses UNIQUE (reverses),
	CONSTRAINT fk_store_issue_reverses FOREIGN KEY(reverses) REFERENCES store_issue (id),
	CONSTRAINT fk_store_issue_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id),
	CONSTRAINT ck_store_issue_happened_on_real CHECK (happened_on IS date(happened_on, '+0 days')),
	CONSTRAINT ck_store_issue_accounting_on_real CHECK (accounting_on IS date(accounting_on, '+0 days')),
	CONSTRAINT ck_store_issue_used_to_real CHECK (used_to IS date(used_to, '+0 days'))
)
 STRICT;
INSERT INTO "store_issue" VALUES(1,'1','1',1,'1','2025-06-02','2025-06-02','2025-06-02',NULL,NULL,NULL,'1',1);
CREATE TABLE terms (
	id INTEGER NOT NULL,
	text TEXT NOT NULL CONSTRAINT ck_terms_text_length CHECK (length(text) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_terms PRIMARY KEY (id),
	CONSTRAINT fk_terms_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "terms" VALUES(1,'1',1);
CREATE TABLE undone (
	id INTEGER NOT NULL,
	act_id INTEGER NOT NULL,
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_undone PRIMARY KEY (id),
	CONSTRAINT uq_undone_act_id UNIQUE (act_id),
	CONSTRAINT fk_undone_act_id FOREIGN KEY(act_id) REFERENCES operation (id),
	CONSTRAINT fk_undone_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT;
INSERT INTO "undone" VALUES(1,1,1);
CREATE INDEX ix_bring_in_operation_id ON bring_in (operation_id);
CREATE INDEX ix_closing_operation_id ON closing (operation_id);
CREATE INDEX ix_entry_accounting_on ON entry (accounting_on);
CREATE INDEX ix_entry_happened_on ON entry (happened_on);
CREATE INDEX ix_entry_operation_id ON entry (operation_id);
CREATE INDEX ix_fair_operation_id ON fair (operation_id);
CREATE INDEX ix_hold_customer_id ON hold (customer_id);
CREATE INDEX ix_hold_operation_id ON hold (operation_id);
CREATE INDEX ix_method_operation_id ON method (operation_id);
CREATE INDEX ix_species_operation_id ON species (operation_id);
CREATE INDEX ix_terms_operation_id ON terms (operation_id);
CREATE INDEX ix_undone_operation_id ON undone (operation_id);
CREATE INDEX ix_bring_in_row_bring_in_id ON bring_in_row (bring_in_id);
CREATE INDEX ix_bring_in_row_mark ON bring_in_row (mark);
CREATE INDEX ix_bring_in_row_reference ON bring_in_row (reference);
CREATE INDEX ix_bring_in_undone_operation_id ON bring_in_undone (operation_id);
CREATE INDEX ix_closing_figure_closing_id ON closing_figure (closing_id);
CREATE INDEX ix_deposit_decision_operation_id ON deposit_decision (operation_id);
CREATE INDEX ix_fair_change_fair_id ON fair_change (fair_id);
CREATE INDEX ix_fair_change_operation_id ON fair_change (operation_id);
CREATE INDEX ix_fair_end_fair_id ON fair_end (fair_id);
CREATE INDEX ix_fair_end_operation_id ON fair_end (operation_id);
CREATE INDEX ix_fair_pack_fair_id ON fair_pack (fair_id);
CREATE INDEX ix_fair_pack_operation_id ON fair_pack (operation_id);
CREATE INDEX ix_giving_operation_id ON giving (operation_id);
CREATE INDEX ix_hold_fate_operation_id ON hold_fate (operation_id);
CREATE INDEX ix_lot_operation_id ON lot (operation_id);
CREATE INDEX ix_lot_species_id ON lot (species_id);
CREATE INDEX ix_outlook_week_operation_id ON outlook_week (operation_id);
CREATE INDEX ix_outlook_week_species_id ON outlook_week (species_id);
CREATE INDEX ix_queue_place_customer_id ON queue_place (customer_id);
CREATE INDEX ix_queue_place_hold_id ON queue_place (hold_id);
CREATE INDEX ix_queue_place_operation_id ON queue_place (operation_id);
CREATE INDEX ix_sale_customer_id ON sale (customer_id);
CREATE INDEX ix_sale_operation_id ON sale (operation_id);
CREATE INDEX ix_species_flag_operation_id ON species_flag (operation_id);
CREATE INDEX ix_species_flag_species_id ON species_flag (species_id);
CREATE INDEX ix_animal_fact_lot_id ON animal_fact (lot_id);
CREATE INDEX ix_animal_fact_operation_id ON animal_fact (operation_id);
CREATE INDEX ix_arrival_operation_id ON arrival (operation_id);
CREATE INDEX ix_arrival_sale_id ON arrival (sale_id);
CREATE INDEX ix_credit_operation_id ON credit (operation_id);
CREATE INDEX ix_credit_sale_id ON credit (sale_id);
CREATE INDEX ix_exposure_female_lot_id ON exposure (female_lot_id);
CREATE INDEX ix_exposure_male_lot_id ON exposure (male_lot_id);
CREATE INDEX ix_exposure_operation_id ON exposure (operation_id);
CREATE INDEX ix_fair_pack_sale_operation_id ON fair_pack_sale (operation_id);
CREATE INDEX ix_figure_operation_id ON figure (operation_id);
CREATE INDEX ix_figure_species_id ON figure (species_id);
CREATE INDEX ix_holding_on_hand ON holding (stage_id, lot_id);
CREATE INDEX ix_loan_customer_id ON loan (customer_id);
CREATE INDEX ix_loan_lot_id ON loan (lot_id);
CREATE INDEX ix_loan_operation_id ON loan (operation_id);
CREATE INDEX ix_lot_fact_lot_id ON lot_fact (lot_id);
CREATE INDEX ix_lot_fact_operation_id ON lot_fact (operation_id);
CREATE INDEX ix_lot_source_lot_id ON lot_source (lot_id);
CREATE INDEX ix_lot_source_operation_id ON lot_source (operation_id);
CREATE INDEX ix_observation_lot ON observation (lot_id, happened_on);
CREATE INDEX ix_observation_operation_id ON observation (operation_id);
CREATE INDEX ix_origin_fact_lot_id ON origin_fact (lot_id);
CREATE INDEX ix_origin_fact_operation_id ON origin_fact (operation_id);
CREATE INDEX ix_own_hours_operation_id ON own_hours (operation_id);
CREATE INDEX ix_parent_lot_id ON parent (lot_id);
CREATE INDEX ix_parent_operation_id ON parent (operation_id);
CREATE INDEX ix_payment_hold_id ON payment (hold_id);
CREATE INDEX ix_payment_operation_id ON payment (operation_id);
CREATE INDEX ix_payment_sale_id ON payment (sale_id);
CREATE INDEX ix_post_wait_operation_id ON post_wait (operation_id);
CREATE INDEX ix_post_wait_sale_id ON post_wait (sale_id);
CREATE INDEX ix_posting_operation_id ON posting (operation_id);
CREATE INDEX ix_price_operation_id ON price (operation_id);
CREATE INDEX ix_price_species_id ON price (species_id);
CREATE INDEX ix_queue_end_operation_id ON queue_end (operation_id);
CREATE INDEX ix_sale_charge_sale_id ON sale_charge (sale_id);
CREATE INDEX ix_species_flag_end_operation_id ON species_flag_end (operation_id);
CREATE INDEX ix_species_flag_end_species_flag_id ON species_flag_end (species_flag_id);
CREATE INDEX ix_stated_origin_lot_id ON stated_origin (lot_id);
CREATE INDEX ix_stated_origin_operation_id ON stated_origin (operation_id);
CREATE INDEX ix_store_issue_operation_id ON store_issue (operation_id);
CREATE INDEX ix_exposure_end_operation_id ON exposure_end (operation_id);
CREATE INDEX ix_hold_line_hold_id ON hold_line (hold_id);
CREATE INDEX ix_loan_end_operation_id ON loan_end (operation_id);
CREATE INDEX ix_movement_entry_id ON movement (entry_id);
CREATE INDEX ix_movement_from ON movement (from_holding_id, count);
CREATE INDEX ix_movement_lent_in ON movement (to_holding_id) WHERE reason = 'lent in';
CREATE INDEX ix_movement_relates_to ON movement (relates_to);
CREATE INDEX ix_movement_to ON movement (to_holding_id, count);
CREATE INDEX ix_sale_line_sale_id ON sale_line (sale_id);
CREATE INDEX ix_claim_operation_id ON claim (operation_id);
CREATE INDEX ix_claim_sale_line_id ON claim (sale_line_id);
CREATE INDEX ix_correction_note_operation_id ON correction_note (operation_id);
CREATE INDEX ix_correction_note_sale_line_id ON correction_note (sale_line_id);
CREATE INDEX ix_cost_operation_id ON cost (operation_id);
CREATE INDEX ix_cost_sale_id ON cost (sale_id);
CREATE INDEX ix_credit_line_credit_id ON credit_line (credit_id);
CREATE INDEX ix_credit_line_sale_line_id ON credit_line (sale_line_id);
CREATE INDEX ix_earmark_operation_id ON earmark (operation_id);
CREATE INDEX ix_sale_movement_sale_line_id ON sale_movement (sale_line_id);
CREATE INDEX ix_claim_outcome_operation_id ON claim_outcome (operation_id);
CREATE INDEX ix_cost_change_cost_id ON cost_change (cost_id);
CREATE INDEX ix_cost_change_operation_id ON cost_change (operation_id);
CREATE INDEX ix_cost_scope_cost_id ON cost_scope (cost_id);
CREATE INDEX ix_earmark_event_earmark_id ON earmark_event (earmark_id);
CREATE INDEX ix_earmark_event_operation_id ON earmark_event (operation_id);
CREATE INDEX ix_earmark_on_holding_id ON earmark_on (holding_id);
CREATE INDEX ix_fair_cost_fair_id ON fair_cost (fair_id);
CREATE INDEX ix_fair_cost_operation_id ON fair_cost (operation_id);
CREATE INDEX ix_fair_pack_line_fair_pack_id ON fair_pack_line (fair_pack_id);
CREATE TRIGGER animal_fact_unchanged BEFORE UPDATE ON animal_fact FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: animal_fact unchanged'); END;
CREATE TRIGGER arrival_unchanged BEFORE UPDATE ON arrival FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: arrival unchanged'); END;
CREATE TRIGGER bring_in_unchanged BEFORE UPDATE ON bring_in FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: bring_in unchanged'); END;
CREATE TRIGGER bring_in_row_unchanged BEFORE UPDATE ON bring_in_row FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: bring_in_row unchanged'); END;
CREATE TRIGGER bring_in_undone_unchanged BEFORE UPDATE ON bring_in_undone FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: bring_in_undone unchanged'); END;
CREATE TRIGGER claim_unchanged BEFORE UPDATE ON claim FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: claim unchanged'); END;
CREATE TRIGGER claim_outcome_unchanged BEFORE UPDATE ON claim_outcome FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: claim_outcome unchanged'); END;
CREATE TRIGGER closing_unchanged BEFORE UPDATE ON closing FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: closing unchanged'); END;
CREATE TRIGGER closing_figure_unchanged BEFORE UPDATE ON closing_figure FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: closing_figure unchanged'); END;
CREATE TRIGGER correction_note_unchanged BEFORE UPDATE ON correction_note FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: correction_note unchanged'); END;
CREATE TRIGGER cost_unchanged BEFORE UPDATE ON cost FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: cost unchanged'); END;
CREATE TRIGGER cost_change_unchanged BEFORE UPDATE ON cost_change FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: cost_change unchanged'); END;
CREATE TRIGGER cost_scope_unchanged BEFORE UPDATE ON cost_scope FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: cost_scope unchanged'); END;
CREATE TRIGGER credit_unchanged BEFORE UPDATE ON credit FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: credit unchanged'); END;
CREATE TRIGGER credit_line_unchanged BEFORE UPDATE ON credit_line FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: credit_line unchanged'); END;
CREATE TRIGGER deposit_decision_unchanged BEFORE UPDATE ON deposit_decision FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: deposit_decision unchanged'); END;
CREATE TRIGGER earmark_unchanged BEFORE UPDATE ON earmark FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: earmark unchanged'); END;
CREATE TRIGGER earmark_event_unchanged BEFORE UPDATE ON earmark_event FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: earmark_event unchanged'); END;
CREATE TRIGGER entry_unchanged BEFORE UPDATE ON entry FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: entry unchanged'); END;
CREATE TRIGGER exposure_unchanged BEFORE UPDATE ON exposure FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: exposure unchanged'); END;
CREATE TRIGGER exposure_end_unchanged BEFORE UPDATE ON exposure_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: exposure_end unchanged'); END;
CREATE TRIGGER fair_unchanged BEFORE UPDATE ON fair FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair unchanged'); END;
CREATE TRIGGER fair_change_unchanged BEFORE UPDATE ON fair_change FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_change unchanged'); END;
CREATE TRIGGER fair_cost_unchanged BEFORE UPDATE ON fair_cost FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_cost unchanged'); END;
CREATE TRIGGER fair_end_unchanged BEFORE UPDATE ON fair_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_end unchanged'); END;
CREATE TRIGGER fair_pack_unchanged BEFORE UPDATE ON fair_pack FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_pack unchanged'); END;
CREATE TRIGGER fair_pack_line_unchanged BEFORE UPDATE ON fair_pack_line FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_pack_line unchanged'); END;
CREATE TRIGGER fair_pack_sale_unchanged BEFORE UPDATE ON fair_pack_sale FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_pack_sale unchanged'); END;
CREATE TRIGGER figure_unchanged BEFORE UPDATE ON figure FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: figure unchanged'); END;
CREATE TRIGGER giving_unchanged BEFORE UPDATE ON giving FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: giving unchanged'); END;
CREATE TRIGGER hold_unchanged BEFORE UPDATE ON hold FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: hold unchanged'); END;
CREATE TRIGGER hold_fate_unchanged BEFORE UPDATE ON hold_fate FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: hold_fate unchanged'); END;
CREATE TRIGGER hold_line_unchanged BEFORE UPDATE ON hold_line FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: hold_line unchanged'); END;
CREATE TRIGGER loan_unchanged BEFORE UPDATE ON loan FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: loan unchanged'); END;
CREATE TRIGGER loan_end_unchanged BEFORE UPDATE ON loan_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: loan_end unchanged'); END;
CREATE TRIGGER lot_unchanged BEFORE UPDATE ON lot FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: lot unchanged'); END;
CREATE TRIGGER lot_fact_unchanged BEFORE UPDATE ON lot_fact FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: lot_fact unchanged'); END;
CREATE TRIGGER lot_source_unchanged BEFORE UPDATE ON lot_source FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: lot_source unchanged'); END;
CREATE TRIGGER method_unchanged BEFORE UPDATE ON method FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: method unchanged'); END;
CREATE TRIGGER movement_unchanged BEFORE UPDATE ON movement FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: movement unchanged'); END;
CREATE TRIGGER observation_unchanged BEFORE UPDATE ON observation FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: observation unchanged'); END;
CREATE TRIGGER operation_unchanged BEFORE UPDATE ON operation FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: operation unchanged'); END;
CREATE TRIGGER origin_fact_unchanged BEFORE UPDATE ON origin_fact FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: origin_fact unchanged'); END;
CREATE TRIGGER outcome_unchanged BEFORE UPDATE ON outcome FOR EACH ROW WHEN NOT (NEW.answer = '' AND NEW.operation_id IS OLD.operation_id AND NEW.id IS OLD.id) BEGIN SELECT RAISE(ABORT, 'RL002: outcome unchanged'); END;
CREATE TRIGGER outlook_week_unchanged BEFORE UPDATE ON outlook_week FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: outlook_week unchanged'); END;
CREATE TRIGGER own_hours_unchanged BEFORE UPDATE ON own_hours FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: own_hours unchanged'); END;
CREATE TRIGGER parent_unchanged BEFORE UPDATE ON parent FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: parent unchanged'); END;
CREATE TRIGGER payment_unchanged BEFORE UPDATE ON payment FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: payment unchanged'); END;
CREATE TRIGGER post_wait_unchanged BEFORE UPDATE ON post_wait FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: post_wait unchanged'); END;
CREATE TRIGGER posting_unchanged BEFORE UPDATE ON posting FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: posting unchanged'); END;
CREATE TRIGGER price_unchanged BEFORE UPDATE ON price FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: price unchanged'); END;
CREATE TRIGGER queue_end_unchanged BEFORE UPDATE ON queue_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: queue_end unchanged'); END;
CREATE TRIGGER queue_place_unchanged BEFORE UPDATE ON queue_place FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: queue_place unchanged'); END;
CREATE TRIGGER sale_unchanged BEFORE UPDATE ON sale FOR EACH ROW WHEN NOT (NEW.customer_name = '' AND NEW.id IS OLD.id AND NEW.number IS OLD.number AND NEW.sold_on IS OLD.sold_on AND NEW.accounting_on IS OLD.accounting_on AND NEW.channel IS OLD.channel AND NEW.customer_id IS OLD.customer_id AND NEW.to_post IS OLD.to_post AND NEW.hold_id IS OLD.hold_id AND NEW.note IS OLD.note AND NEW.own_note IS OLD.own_note AND NEW.operation_id IS OLD.operation_id) BEGIN SELECT RAISE(ABORT, 'RL002: sale unchanged'); END;
CREATE TRIGGER sale_charge_unchanged BEFORE UPDATE ON sale_charge FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: sale_charge unchanged'); END;
CREATE TRIGGER sale_line_unchanged BEFORE UPDATE ON sale_line FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: sale_line unchanged'); END;
CREATE TRIGGER sale_movement_unchanged BEFORE UPDATE ON sale_movement FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: sale_movement unchanged'); END;
CREATE TRIGGER species_unchanged BEFORE UPDATE ON species FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: species unchanged'); END;
CREATE TRIGGER species_flag_unchanged BEFORE UPDATE ON species_flag FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: species_flag unchanged'); END;
CREATE TRIGGER species_flag_end_unchanged BEFORE UPDATE ON species_flag_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: species_flag_end unchanged'); END;
CREATE TRIGGER stage_unchanged BEFORE UPDATE ON stage FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: stage unchanged'); END;
CREATE TRIGGER stated_origin_unchanged BEFORE UPDATE ON stated_origin FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: stated_origin unchanged'); END;
CREATE TRIGGER store_issue_unchanged BEFORE UPDATE ON store_issue FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: store_issue unchanged'); END;
CREATE TRIGGER terms_unchanged BEFORE UPDATE ON terms FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: terms unchanged'); END;
CREATE TRIGGER undone_unchanged BEFORE UPDATE ON undone FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: undone unchanged'); END;
CREATE TRIGGER animal_fact_undeleted BEFORE DELETE ON animal_fact FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: animal_fact undeleted'); END;
CREATE TRIGGER animal_fact_unreplaced BEFORE INSERT ON animal_fact FOR EACH ROW WHEN EXISTS (SELECT 1 FROM animal_fact WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: animal_fact unreplaced'); END;
CREATE TRIGGER arrival_undeleted BEFORE DELETE ON arrival FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: arrival undeleted'); END;
CREATE TRIGGER arrival_unreplaced BEFORE INSERT ON arrival FOR EACH ROW WHEN EXISTS (SELECT 1 FROM arrival WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: arrival unreplaced'); END;
CREATE TRIGGER bring_in_undeleted BEFORE DELETE ON bring_in FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: bring_in undeleted'); END;
CREATE TRIGGER bring_in_unreplaced BEFORE INSERT ON bring_in FOR EACH ROW WHEN EXISTS (SELECT 1 FROM bring_in WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: bring_in unreplaced'); END;
CREATE TRIGGER bring_in_row_undeleted BEFORE DELETE ON bring_in_row FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: bring_in_row undeleted'); END;
CREATE TRIGGER bring_in_row_unreplaced BEFORE INSERT ON bring_in_row FOR EACH ROW WHEN EXISTS (SELECT 1 FROM bring_in_row WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: bring_in_row unreplaced'); END;
CREATE TRIGGER bring_in_undone_undeleted BEFORE DELETE ON bring_in_undone FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: bring_in_undone undeleted'); END;
CREATE TRIGGER bring_in_undone_unreplaced BEFORE INSERT ON bring_in_undone FOR EACH ROW WHEN EXISTS (SELECT 1 FROM bring_in_undone WHERE bring_in_id = NEW.bring_in_id) OR EXISTS (SELECT 1 FROM bring_in_undone WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: bring_in_undone unreplaced'); END;
CREATE TRIGGER claim_undeleted BEFORE DELETE ON claim FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: claim undeleted'); END;
CREATE TRIGGER claim_unreplaced BEFORE INSERT ON claim FOR EACH ROW WHEN EXISTS (SELECT 1 FROM claim WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: claim unreplaced'); END;
CREATE TRIGGER claim_outcome_undeleted BEFORE DELETE ON claim_outcome FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: claim_outcome undeleted'); END;
CREATE TRIGGER claim_outcome_unreplaced BEFORE INSERT ON claim_outcome FOR EACH ROW WHEN EXISTS (SELECT 1 FROM claim_outcome WHERE claim_id = NEW.claim_id) OR EXISTS (SELECT 1 FROM claim_outcome WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: claim_outcome unreplaced'); END;
CREATE TRIGGER closing_undeleted BEFORE DELETE ON closing FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: closing undeleted'); END;
CREATE TRIGGER closing_unreplaced BEFORE INSERT ON closing FOR EACH ROW WHEN EXISTS (SELECT 1 FROM closing WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM closing WHERE year = NEW.year) BEGIN SELECT RAISE(ABORT, 'RL002: closing unreplaced'); END;
CREATE TRIGGER closing_figure_undeleted BEFORE DELETE ON closing_figure FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: closing_figure undeleted'); END;
CREATE TRIGGER closing_figure_unreplaced BEFORE INSERT ON closing_figure FOR EACH ROW WHEN EXISTS (SELECT 1 FROM closing_figure WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: closing_figure unreplaced'); END;
CREATE TRIGGER correction_note_undeleted BEFORE DELETE ON correction_note FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: correction_note undeleted'); END;
CREATE TRIGGER correction_note_unreplaced BEFORE INSERT ON correction_note FOR EACH ROW WHEN EXISTS (SELECT 1 FROM correction_note WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: correction_note unreplaced'); END;
CREATE TRIGGER cost_undeleted BEFORE DELETE ON cost FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: cost undeleted'); END;
CREATE TRIGGER cost_unreplaced BEFORE INSERT ON cost FOR EACH ROW WHEN EXISTS (SELECT 1 FROM cost WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM cost WHERE movement_id = NEW.movement_id) OR EXISTS (SELECT 1 FROM cost WHERE reverses = NEW.reverses) BEGIN SELECT RAISE(ABORT, 'RL002: cost unreplaced'); END;
CREATE TRIGGER cost_change_undeleted BEFORE DELETE ON cost_change FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: cost_change undeleted'); END;
CREATE TRIGGER cost_change_unreplaced BEFORE INSERT ON cost_change FOR EACH ROW WHEN EXISTS (SELECT 1 FROM cost_change WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM cost_change WHERE reverses = NEW.reverses) BEGIN SELECT RAISE(ABORT, 'RL002: cost_change unreplaced'); END;
CREATE TRIGGER cost_scope_undeleted BEFORE DELETE ON cost_scope FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: cost_scope undeleted'); END;
CREATE TRIGGER cost_scope_unreplaced BEFORE INSERT ON cost_scope FOR EACH ROW WHEN EXISTS (SELECT 1 FROM cost_scope WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: cost_scope unreplaced'); END;
CREATE TRIGGER counter_undeleted BEFORE DELETE ON counter FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: counter undeleted'); END;
CREATE TRIGGER counter_unreplaced BEFORE INSERT ON counter FOR EACH ROW WHEN EXISTS (SELECT 1 FROM counter WHERE series = NEW.series AND year = NEW.year) BEGIN SELECT RAISE(ABORT, 'RL002: counter unreplaced'); END;
CREATE TRIGGER credit_undeleted BEFORE DELETE ON credit FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: credit undeleted'); END;
CREATE TRIGGER credit_unreplaced BEFORE INSERT ON credit FOR EACH ROW WHEN EXISTS (SELECT 1 FROM credit WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM credit WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'RL002: credit unreplaced'); END;
CREATE TRIGGER credit_line_undeleted BEFORE DELETE ON credit_line FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: credit_line undeleted'); END;
CREATE TRIGGER credit_line_unreplaced BEFORE INSERT ON credit_line FOR EACH ROW WHEN EXISTS (SELECT 1 FROM credit_line WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: credit_line unreplaced'); END;
CREATE TRIGGER deposit_decision_undeleted BEFORE DELETE ON deposit_decision FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: deposit_decision undeleted'); END;
CREATE TRIGGER deposit_decision_unreplaced BEFORE INSERT ON deposit_decision FOR EACH ROW WHEN EXISTS (SELECT 1 FROM deposit_decision WHERE hold_id = NEW.hold_id) OR EXISTS (SELECT 1 FROM deposit_decision WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: deposit_decision unreplaced'); END;
CREATE TRIGGER earmark_undeleted BEFORE DELETE ON earmark FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: earmark undeleted'); END;
CREATE TRIGGER earmark_unreplaced BEFORE INSERT ON earmark FOR EACH ROW WHEN EXISTS (SELECT 1 FROM earmark WHERE hold_line_id = NEW.hold_line_id) OR EXISTS (SELECT 1 FROM earmark WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM earmark WHERE sale_line_id = NEW.sale_line_id) BEGIN SELECT RAISE(ABORT, 'RL002: earmark unreplaced'); END;
CREATE TRIGGER earmark_event_undeleted BEFORE DELETE ON earmark_event FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: earmark_event undeleted'); END;
CREATE TRIGGER earmark_event_unreplaced BEFORE INSERT ON earmark_event FOR EACH ROW WHEN EXISTS (SELECT 1 FROM earmark_event WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: earmark_event unreplaced'); END;
CREATE TRIGGER entry_undeleted BEFORE DELETE ON entry FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: entry undeleted'); END;
CREATE TRIGGER entry_unreplaced BEFORE INSERT ON entry FOR EACH ROW WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: entry unreplaced'); END;
CREATE TRIGGER exposure_undeleted BEFORE DELETE ON exposure FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: exposure undeleted'); END;
CREATE TRIGGER exposure_unreplaced BEFORE INSERT ON exposure FOR EACH ROW WHEN EXISTS (SELECT 1 FROM exposure WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: exposure unreplaced'); END;
CREATE TRIGGER exposure_end_undeleted BEFORE DELETE ON exposure_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: exposure_end undeleted'); END;
CREATE TRIGGER exposure_end_unreplaced BEFORE INSERT ON exposure_end FOR EACH ROW WHEN EXISTS (SELECT 1 FROM exposure_end WHERE exposure_id = NEW.exposure_id) OR EXISTS (SELECT 1 FROM exposure_end WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: exposure_end unreplaced'); END;
CREATE TRIGGER fair_undeleted BEFORE DELETE ON fair FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair undeleted'); END;
CREATE TRIGGER fair_unreplaced BEFORE INSERT ON fair FOR EACH ROW WHEN EXISTS (SELECT 1 FROM fair WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: fair unreplaced'); END;
CREATE TRIGGER fair_change_undeleted BEFORE DELETE ON fair_change FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_change undeleted'); END;
CREATE TRIGGER fair_change_unreplaced BEFORE INSERT ON fair_change FOR EACH ROW WHEN EXISTS (SELECT 1 FROM fair_change WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: fair_change unreplaced'); END;
CREATE TRIGGER fair_cost_undeleted BEFORE DELETE ON fair_cost FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_cost undeleted'); END;
CREATE TRIGGER fair_cost_unreplaced BEFORE INSERT ON fair_cost FOR EACH ROW WHEN EXISTS (SELECT 1 FROM fair_cost WHERE cost_id = NEW.cost_id) OR EXISTS (SELECT 1 FROM fair_cost WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: fair_cost unreplaced'); END;
CREATE TRIGGER fair_end_undeleted BEFORE DELETE ON fair_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_end undeleted'); END;
CREATE TRIGGER fair_end_unreplaced BEFORE INSERT ON fair_end FOR EACH ROW WHEN EXISTS (SELECT 1 FROM fair_end WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: fair_end unreplaced'); END;
CREATE TRIGGER fair_pack_undeleted BEFORE DELETE ON fair_pack FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_pack undeleted'); END;
CREATE TRIGGER fair_pack_unreplaced BEFORE INSERT ON fair_pack FOR EACH ROW WHEN EXISTS (SELECT 1 FROM fair_pack WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: fair_pack unreplaced'); END;
CREATE TRIGGER fair_pack_line_undeleted BEFORE DELETE ON fair_pack_line FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_pack_line undeleted'); END;
CREATE TRIGGER fair_pack_line_unreplaced BEFORE INSERT ON fair_pack_line FOR EACH ROW WHEN EXISTS (SELECT 1 FROM fair_pack_line WHERE earmark_id = NEW.earmark_id) OR EXISTS (SELECT 1 FROM fair_pack_line WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: fair_pack_line unreplaced'); END;
CREATE TRIGGER fair_pack_sale_undeleted BEFORE DELETE ON fair_pack_sale FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: fair_pack_sale undeleted'); END;
CREATE TRIGGER fair_pack_sale_unreplaced BEFORE INSERT ON fair_pack_sale FOR EACH ROW WHEN EXISTS (SELECT 1 FROM fair_pack_sale WHERE fair_pack_id = NEW.fair_pack_id) OR EXISTS (SELECT 1 FROM fair_pack_sale WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM fair_pack_sale WHERE sale_id = NEW.sale_id) BEGIN SELECT RAISE(ABORT, 'RL002: fair_pack_sale unreplaced'); END;
CREATE TRIGGER figure_undeleted BEFORE DELETE ON figure FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: figure undeleted'); END;
CREATE TRIGGER figure_unreplaced BEFORE INSERT ON figure FOR EACH ROW WHEN EXISTS (SELECT 1 FROM figure WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: figure unreplaced'); END;
CREATE TRIGGER giving_undeleted BEFORE DELETE ON giving FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: giving undeleted'); END;
CREATE TRIGGER giving_unreplaced BEFORE INSERT ON giving FOR EACH ROW WHEN EXISTS (SELECT 1 FROM giving WHERE entry_id = NEW.entry_id) OR EXISTS (SELECT 1 FROM giving WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: giving unreplaced'); END;
CREATE TRIGGER hold_undeleted BEFORE DELETE ON hold FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: hold undeleted'); END;
CREATE TRIGGER hold_unreplaced BEFORE INSERT ON hold FOR EACH ROW WHEN EXISTS (SELECT 1 FROM hold WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM hold WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'RL002: hold unreplaced'); END;
CREATE TRIGGER hold_fate_undeleted BEFORE DELETE ON hold_fate FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: hold_fate undeleted'); END;
CREATE TRIGGER hold_fate_unreplaced BEFORE INSERT ON hold_fate FOR EACH ROW WHEN EXISTS (SELECT 1 FROM hold_fate WHERE hold_id = NEW.hold_id) OR EXISTS (SELECT 1 FROM hold_fate WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: hold_fate unreplaced'); END;
CREATE TRIGGER hold_line_undeleted BEFORE DELETE ON hold_line FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: hold_line undeleted'); END;
CREATE TRIGGER hold_line_unreplaced BEFORE INSERT ON hold_line FOR EACH ROW WHEN EXISTS (SELECT 1 FROM hold_line WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: hold_line unreplaced'); END;
CREATE TRIGGER holding_undeleted BEFORE DELETE ON holding FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: holding undeleted'); END;
CREATE TRIGGER holding_unreplaced BEFORE INSERT ON holding FOR EACH ROW WHEN EXISTS (SELECT 1 FROM holding WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM holding WHERE lot_id = NEW.lot_id AND stage_id = NEW.stage_id AND sex = NEW.sex AND sure = NEW.sure AND tub = NEW.tub) BEGIN SELECT RAISE(ABORT, 'RL002: holding unreplaced'); END;
CREATE TRIGGER ledger_info_undeleted BEFORE DELETE ON ledger_info FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: ledger_info undeleted'); END;
CREATE TRIGGER ledger_info_unreplaced BEFORE INSERT ON ledger_info FOR EACH ROW WHEN EXISTS (SELECT 1 FROM ledger_info WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: ledger_info unreplaced'); END;
CREATE TRIGGER loan_undeleted BEFORE DELETE ON loan FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: loan undeleted'); END;
CREATE TRIGGER loan_unreplaced BEFORE INSERT ON loan FOR EACH ROW WHEN EXISTS (SELECT 1 FROM loan WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: loan unreplaced'); END;
CREATE TRIGGER loan_end_undeleted BEFORE DELETE ON loan_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: loan_end undeleted'); END;
CREATE TRIGGER loan_end_unreplaced BEFORE INSERT ON loan_end FOR EACH ROW WHEN EXISTS (SELECT 1 FROM loan_end WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM loan_end WHERE loan_id = NEW.loan_id) BEGIN SELECT RAISE(ABORT, 'RL002: loan_end unreplaced'); END;
CREATE TRIGGER lot_undeleted BEFORE DELETE ON lot FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: lot undeleted'); END;
CREATE TRIGGER lot_unreplaced BEFORE INSERT ON lot FOR EACH ROW WHEN EXISTS (SELECT 1 FROM lot WHERE code = NEW.code) OR EXISTS (SELECT 1 FROM lot WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: lot unreplaced'); END;
CREATE TRIGGER lot_fact_undeleted BEFORE DELETE ON lot_fact FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: lot_fact undeleted'); END;
CREATE TRIGGER lot_fact_unreplaced BEFORE INSERT ON lot_fact FOR EACH ROW WHEN EXISTS (SELECT 1 FROM lot_fact WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: lot_fact unreplaced'); END;
CREATE TRIGGER lot_source_undeleted BEFORE DELETE ON lot_source FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: lot_source undeleted'); END;
CREATE TRIGGER lot_source_unreplaced BEFORE INSERT ON lot_source FOR EACH ROW WHEN EXISTS (SELECT 1 FROM lot_source WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM lot_source WHERE lot_id = NEW.lot_id AND source_id = NEW.source_id) BEGIN SELECT RAISE(ABORT, 'RL002: lot_source unreplaced'); END;
CREATE TRIGGER method_undeleted BEFORE DELETE ON method FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: method undeleted'); END;
CREATE TRIGGER method_unreplaced BEFORE INSERT ON method FOR EACH ROW WHEN EXISTS (SELECT 1 FROM method WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: method unreplaced'); END;
CREATE TRIGGER movement_undeleted BEFORE DELETE ON movement FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: movement undeleted'); END;
CREATE TRIGGER movement_unreplaced BEFORE INSERT ON movement FOR EACH ROW WHEN EXISTS (SELECT 1 FROM movement WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM movement WHERE reverses = NEW.reverses) BEGIN SELECT RAISE(ABORT, 'RL002: movement unreplaced'); END;
CREATE TRIGGER observation_undeleted BEFORE DELETE ON observation FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: observation undeleted'); END;
CREATE TRIGGER observation_unreplaced BEFORE INSERT ON observation FOR EACH ROW WHEN EXISTS (SELECT 1 FROM observation WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: observation unreplaced'); END;
CREATE TRIGGER operation_undeleted BEFORE DELETE ON operation FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: operation undeleted'); END;
CREATE TRIGGER operation_unreplaced BEFORE INSERT ON operation FOR EACH ROW WHEN EXISTS (SELECT 1 FROM operation WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM operation WHERE token = NEW.token) BEGIN SELECT RAISE(ABORT, 'RL002: operation unreplaced'); END;
CREATE TRIGGER origin_fact_undeleted BEFORE DELETE ON origin_fact FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: origin_fact undeleted'); END;
CREATE TRIGGER origin_fact_unreplaced BEFORE INSERT ON origin_fact FOR EACH ROW WHEN EXISTS (SELECT 1 FROM origin_fact WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: origin_fact unreplaced'); END;
CREATE TRIGGER outcome_undeleted BEFORE DELETE ON outcome FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: outcome undeleted'); END;
CREATE TRIGGER outcome_unreplaced BEFORE INSERT ON outcome FOR EACH ROW WHEN EXISTS (SELECT 1 FROM outcome WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM outcome WHERE operation_id = NEW.operation_id) BEGIN SELECT RAISE(ABORT, 'RL002: outcome unreplaced'); END;
CREATE TRIGGER outlook_week_undeleted BEFORE DELETE ON outlook_week FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: outlook_week undeleted'); END;
CREATE TRIGGER outlook_week_unreplaced BEFORE INSERT ON outlook_week FOR EACH ROW WHEN EXISTS (SELECT 1 FROM outlook_week WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM outlook_week WHERE species_id = NEW.species_id AND issued_on = NEW.issued_on AND first_day = NEW.first_day) BEGIN SELECT RAISE(ABORT, 'RL002: outlook_week unreplaced'); END;
CREATE TRIGGER own_hours_undeleted BEFORE DELETE ON own_hours FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: own_hours undeleted'); END;
CREATE TRIGGER own_hours_unreplaced BEFORE INSERT ON own_hours FOR EACH ROW WHEN EXISTS (SELECT 1 FROM own_hours WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM own_hours WHERE reverses = NEW.reverses) BEGIN SELECT RAISE(ABORT, 'RL002: own_hours unreplaced'); END;
CREATE TRIGGER parent_undeleted BEFORE DELETE ON parent FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: parent undeleted'); END;
CREATE TRIGGER parent_unreplaced BEFORE INSERT ON parent FOR EACH ROW WHEN EXISTS (SELECT 1 FROM parent WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: parent unreplaced'); END;
CREATE TRIGGER payment_undeleted BEFORE DELETE ON payment FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: payment undeleted'); END;
CREATE TRIGGER payment_unreplaced BEFORE INSERT ON payment FOR EACH ROW WHEN EXISTS (SELECT 1 FROM payment WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM payment WHERE reverses = NEW.reverses) BEGIN SELECT RAISE(ABORT, 'RL002: payment unreplaced'); END;
CREATE TRIGGER period_undeleted BEFORE DELETE ON period FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: period undeleted'); END;
CREATE TRIGGER period_unreplaced BEFORE INSERT ON period FOR EACH ROW WHEN EXISTS (SELECT 1 FROM period WHERE first_day = NEW.first_day) OR EXISTS (SELECT 1 FROM period WHERE last_day = NEW.last_day) OR EXISTS (SELECT 1 FROM period WHERE year = NEW.year) BEGIN SELECT RAISE(ABORT, 'RL002: period unreplaced'); END;
CREATE TRIGGER post_wait_undeleted BEFORE DELETE ON post_wait FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: post_wait undeleted'); END;
CREATE TRIGGER post_wait_unreplaced BEFORE INSERT ON post_wait FOR EACH ROW WHEN EXISTS (SELECT 1 FROM post_wait WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: post_wait unreplaced'); END;
CREATE TRIGGER posting_undeleted BEFORE DELETE ON posting FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: posting undeleted'); END;
CREATE TRIGGER posting_unreplaced BEFORE INSERT ON posting FOR EACH ROW WHEN EXISTS (SELECT 1 FROM posting WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM posting WHERE sale_id = NEW.sale_id) BEGIN SELECT RAISE(ABORT, 'RL002: posting unreplaced'); END;
CREATE TRIGGER price_undeleted BEFORE DELETE ON price FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: price undeleted'); END;
CREATE TRIGGER price_unreplaced BEFORE INSERT ON price FOR EACH ROW WHEN EXISTS (SELECT 1 FROM price WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: price unreplaced'); END;
CREATE TRIGGER queue_end_undeleted BEFORE DELETE ON queue_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: queue_end undeleted'); END;
CREATE TRIGGER queue_end_unreplaced BEFORE INSERT ON queue_end FOR EACH ROW WHEN EXISTS (SELECT 1 FROM queue_end WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM queue_end WHERE queue_place_id = NEW.queue_place_id) BEGIN SELECT RAISE(ABORT, 'RL002: queue_end unreplaced'); END;
CREATE TRIGGER queue_place_undeleted BEFORE DELETE ON queue_place FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: queue_place undeleted'); END;
CREATE TRIGGER queue_place_unreplaced BEFORE INSERT ON queue_place FOR EACH ROW WHEN EXISTS (SELECT 1 FROM queue_place WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: queue_place unreplaced'); END;
CREATE TRIGGER sale_undeleted BEFORE DELETE ON sale FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: sale undeleted'); END;
CREATE TRIGGER sale_unreplaced BEFORE INSERT ON sale FOR EACH ROW WHEN EXISTS (SELECT 1 FROM sale WHERE hold_id = NEW.hold_id) OR EXISTS (SELECT 1 FROM sale WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM sale WHERE number = NEW.number) BEGIN SELECT RAISE(ABORT, 'RL002: sale unreplaced'); END;
CREATE TRIGGER sale_charge_undeleted BEFORE DELETE ON sale_charge FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: sale_charge undeleted'); END;
CREATE TRIGGER sale_charge_unreplaced BEFORE INSERT ON sale_charge FOR EACH ROW WHEN EXISTS (SELECT 1 FROM sale_charge WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: sale_charge unreplaced'); END;
CREATE TRIGGER sale_line_undeleted BEFORE DELETE ON sale_line FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: sale_line undeleted'); END;
CREATE TRIGGER sale_line_unreplaced BEFORE INSERT ON sale_line FOR EACH ROW WHEN EXISTS (SELECT 1 FROM sale_line WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: sale_line unreplaced'); END;
CREATE TRIGGER sale_movement_undeleted BEFORE DELETE ON sale_movement FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: sale_movement undeleted'); END;
CREATE TRIGGER sale_movement_unreplaced BEFORE INSERT ON sale_movement FOR EACH ROW WHEN EXISTS (SELECT 1 FROM sale_movement WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM sale_movement WHERE movement_id = NEW.movement_id) BEGIN SELECT RAISE(ABORT, 'RL002: sale_movement unreplaced'); END;
CREATE TRIGGER species_undeleted BEFORE DELETE ON species FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: species undeleted'); END;
CREATE TRIGGER species_unreplaced BEFORE INSERT ON species FOR EACH ROW WHEN EXISTS (SELECT 1 FROM species WHERE code = NEW.code) OR EXISTS (SELECT 1 FROM species WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: species unreplaced'); END;
CREATE TRIGGER species_flag_undeleted BEFORE DELETE ON species_flag FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: species_flag undeleted'); END;
CREATE TRIGGER species_flag_unreplaced BEFORE INSERT ON species_flag FOR EACH ROW WHEN EXISTS (SELECT 1 FROM species_flag WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: species_flag unreplaced'); END;
CREATE TRIGGER species_flag_end_undeleted BEFORE DELETE ON species_flag_end FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: species_flag_end undeleted'); END;
CREATE TRIGGER species_flag_end_unreplaced BEFORE INSERT ON species_flag_end FOR EACH ROW WHEN EXISTS (SELECT 1 FROM species_flag_end WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: species_flag_end unreplaced'); END;
CREATE TRIGGER stage_undeleted BEFORE DELETE ON stage FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: stage undeleted'); END;
CREATE TRIGGER stage_unreplaced BEFORE INSERT ON stage FOR EACH ROW WHEN EXISTS (SELECT 1 FROM stage WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM stage WHERE species_id = NEW.species_id AND name = NEW.name) OR EXISTS (SELECT 1 FROM stage WHERE species_id = NEW.species_id AND position = NEW.position) BEGIN SELECT RAISE(ABORT, 'RL002: stage unreplaced'); END;
CREATE TRIGGER stated_origin_undeleted BEFORE DELETE ON stated_origin FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: stated_origin undeleted'); END;
CREATE TRIGGER stated_origin_unreplaced BEFORE INSERT ON stated_origin FOR EACH ROW WHEN EXISTS (SELECT 1 FROM stated_origin WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: stated_origin unreplaced'); END;
CREATE TRIGGER store_issue_undeleted BEFORE DELETE ON store_issue FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: store_issue undeleted'); END;
CREATE TRIGGER store_issue_unreplaced BEFORE INSERT ON store_issue FOR EACH ROW WHEN EXISTS (SELECT 1 FROM store_issue WHERE id = NEW.id) OR EXISTS (SELECT 1 FROM store_issue WHERE reverses = NEW.reverses) BEGIN SELECT RAISE(ABORT, 'RL002: store_issue unreplaced'); END;
CREATE TRIGGER terms_undeleted BEFORE DELETE ON terms FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: terms undeleted'); END;
CREATE TRIGGER terms_unreplaced BEFORE INSERT ON terms FOR EACH ROW WHEN EXISTS (SELECT 1 FROM terms WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: terms unreplaced'); END;
CREATE TRIGGER undone_undeleted BEFORE DELETE ON undone FOR EACH ROW BEGIN SELECT RAISE(ABORT, 'RL002: undone undeleted'); END;
CREATE TRIGGER undone_unreplaced BEFORE INSERT ON undone FOR EACH ROW WHEN EXISTS (SELECT 1 FROM undone WHERE act_id = NEW.act_id) OR EXISTS (SELECT 1 FROM undone WHERE id = NEW.id) BEGIN SELECT RAISE(ABORT, 'RL002: undone unreplaced'); END;
CREATE TRIGGER period_laid_out_once BEFORE INSERT ON period FOR EACH ROW WHEN EXISTS (SELECT 1 FROM operation) BEGIN SELECT RAISE(ABORT, 'RL002: period laid_out_once'); END;
CREATE TRIGGER counter_begins_at_nought BEFORE INSERT ON counter FOR EACH ROW WHEN NEW.last <> 0 BEGIN SELECT RAISE(ABORT, 'RL002: counter begins_at_nought'); END;
CREATE TRIGGER period_one_way BEFORE UPDATE ON period FOR EACH ROW WHEN NOT (NEW.year = OLD.year AND NEW.first_day = OLD.first_day AND NEW.last_day = OLD.last_day AND OLD.closed = 0 AND NEW.closed = 1) BEGIN SELECT RAISE(ABORT, 'RL002: period one_way'); END;
CREATE TRIGGER counter_one_way BEFORE UPDATE ON counter FOR EACH ROW WHEN NOT (NEW.series = OLD.series AND NEW.year = OLD.year AND NEW.last = OLD.last + 1) BEGIN SELECT RAISE(ABORT, 'RL002: counter one_way'); END;
CREATE TRIGGER holding_one_way BEFORE UPDATE ON holding FOR EACH ROW WHEN NOT (NEW.id = OLD.id AND NEW.lot_id = OLD.lot_id AND NEW.stage_id = OLD.stage_id AND NEW.sex = OLD.sex AND NEW.sure = OLD.sure AND NEW.tub = OLD.tub AND 1 = 1) BEGIN SELECT RAISE(ABORT, 'RL002: holding one_way'); END;
CREATE TRIGGER ledger_info_one_way BEFORE UPDATE ON ledger_info FOR EACH ROW WHEN NOT (NEW.id = OLD.id AND NEW.application = OLD.application AND NEW.made_at = OLD.made_at AND NEW.currency = OLD.currency AND NEW.schema_version > OLD.schema_version AND NEW.least_reader >= OLD.least_reader) BEGIN SELECT RAISE(ABORT, 'RL002: ledger_info one_way'); END;
CREATE TRIGGER entry_in_open_year BEFORE INSERT ON entry FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= NEW.accounting_on ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: entry in a closed year'); END;
CREATE TRIGGER cost_in_open_year BEFORE INSERT ON cost FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= NEW.accounting_on ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: cost in a closed year'); END;
CREATE TRIGGER cost_change_in_open_year BEFORE INSERT ON cost_change FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= NEW.accounting_on ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: cost_change in a closed year'); END;
CREATE TRIGGER store_issue_in_open_year BEFORE INSERT ON store_issue FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= NEW.accounting_on ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: store_issue in a closed year'); END;
CREATE TRIGGER sale_in_open_year BEFORE INSERT ON sale FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= NEW.accounting_on ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: sale in a closed year'); END;
CREATE TRIGGER payment_in_open_year BEFORE INSERT ON payment FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= NEW.accounting_on ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: payment in a closed year'); END;
CREATE TRIGGER posting_in_open_year BEFORE INSERT ON posting FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= NEW.accounting_on ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: posting in a closed year'); END;
CREATE TRIGGER credit_in_open_year BEFORE INSERT ON credit FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= NEW.accounting_on ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: credit in a closed year'); END;
CREATE TRIGGER deposit_decision_in_open_year BEFORE INSERT ON deposit_decision FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= NEW.accounting_on ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: deposit_decision in a closed year'); END;
CREATE TRIGGER cost_scope_in_open_year BEFORE INSERT ON cost_scope FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= (SELECT accounting_on FROM cost WHERE id = NEW.cost_id) ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: cost_scope in a closed year'); END;
CREATE TRIGGER credit_line_in_open_year BEFORE INSERT ON credit_line FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= (SELECT accounting_on FROM credit WHERE id = NEW.credit_id) ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: credit_line in a closed year'); END;
CREATE TRIGGER movement_in_open_year BEFORE INSERT ON movement FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= (SELECT accounting_on FROM entry WHERE id = NEW.entry_id) ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: movement in a closed year'); END;
CREATE TRIGGER sale_charge_in_open_year BEFORE INSERT ON sale_charge FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= (SELECT accounting_on FROM sale WHERE id = NEW.sale_id) ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: sale_charge in a closed year'); END;
CREATE TRIGGER sale_line_in_open_year BEFORE INSERT ON sale_line FOR EACH ROW WHEN (SELECT closed FROM period WHERE first_day <= (SELECT accounting_on FROM sale WHERE id = NEW.sale_id) ORDER BY first_day DESC LIMIT 1) IS NOT 0 BEGIN SELECT RAISE(ABORT, 'RL001: sale_line in a closed year'); END;
COMMIT;
