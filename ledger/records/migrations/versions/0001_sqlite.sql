CREATE TABLE counter (
	series TEXT NOT NULL CONSTRAINT ck_counter_series_length CHECK (length(series) <= 20),
	year INTEGER NOT NULL,
	last INTEGER NOT NULL CONSTRAINT ck_counter_last_bounds CHECK ("last" BETWEEN 0 AND 1000000000),
	CONSTRAINT pk_counter PRIMARY KEY (series, year)
)
 STRICT

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
 STRICT

CREATE TABLE ledger_info (
	id INTEGER NOT NULL CONSTRAINT ck_ledger_info_one_row CHECK (id = 1),
	application TEXT NOT NULL CONSTRAINT ck_ledger_info_application_length CHECK (length(application) <= 20),
	schema_version INTEGER NOT NULL CONSTRAINT ck_ledger_info_schema_version_bounds CHECK ("schema_version" BETWEEN 1 AND 1000000),
	least_reader INTEGER NOT NULL CONSTRAINT ck_ledger_info_least_reader_bounds CHECK ("least_reader" BETWEEN 1 AND 1000000),
	made_at TEXT NOT NULL CONSTRAINT ck_ledger_info_made_at_length CHECK (length(made_at) <= 40),
	currency TEXT NOT NULL CONSTRAINT ck_ledger_info_currency_length CHECK (length(currency) <= 3),
	CONSTRAINT pk_ledger_info PRIMARY KEY (id)
)
 STRICT

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
 STRICT

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
 STRICT

CREATE TABLE setting (
	name TEXT NOT NULL CONSTRAINT ck_setting_name_length CHECK (length(name) <= 60),
	value TEXT NOT NULL CONSTRAINT ck_setting_value_length CHECK (length(value) <= 2000),
	CONSTRAINT pk_setting PRIMARY KEY (name)
)
 STRICT

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
 STRICT

CREATE INDEX ix_bring_in_operation_id ON bring_in (operation_id)

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
 STRICT

CREATE INDEX ix_closing_operation_id ON closing (operation_id)

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
 STRICT

CREATE INDEX ix_entry_accounting_on ON entry (accounting_on)

CREATE INDEX ix_entry_happened_on ON entry (happened_on)

CREATE INDEX ix_entry_operation_id ON entry (operation_id)

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
 STRICT

CREATE INDEX ix_fair_operation_id ON fair (operation_id)

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
 STRICT

CREATE INDEX ix_hold_customer_id ON hold (customer_id)

CREATE INDEX ix_hold_operation_id ON hold (operation_id)

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
 STRICT

CREATE INDEX ix_method_operation_id ON method (operation_id)

CREATE TABLE outcome (
	operation_id INTEGER NOT NULL,
	answer TEXT NOT NULL CONSTRAINT ck_outcome_answer_length CHECK (length(answer) <= 200000),
	id INTEGER NOT NULL,
	CONSTRAINT pk_outcome PRIMARY KEY (id),
	CONSTRAINT uq_outcome_operation_id UNIQUE (operation_id),
	CONSTRAINT fk_outcome_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT

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
 STRICT

CREATE INDEX ix_species_operation_id ON species (operation_id)

CREATE TABLE terms (
	id INTEGER NOT NULL,
	text TEXT NOT NULL CONSTRAINT ck_terms_text_length CHECK (length(text) <= 2000),
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_terms PRIMARY KEY (id),
	CONSTRAINT fk_terms_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT

CREATE INDEX ix_terms_operation_id ON terms (operation_id)

CREATE TABLE undone (
	id INTEGER NOT NULL,
	act_id INTEGER NOT NULL,
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_undone PRIMARY KEY (id),
	CONSTRAINT uq_undone_act_id UNIQUE (act_id),
	CONSTRAINT fk_undone_act_id FOREIGN KEY(act_id) REFERENCES operation (id),
	CONSTRAINT fk_undone_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT

CREATE INDEX ix_undone_operation_id ON undone (operation_id)

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
 STRICT

CREATE INDEX ix_bring_in_row_bring_in_id ON bring_in_row (bring_in_id)

CREATE INDEX ix_bring_in_row_mark ON bring_in_row (mark)

CREATE INDEX ix_bring_in_row_reference ON bring_in_row (reference)

CREATE TABLE bring_in_undone (
	id INTEGER NOT NULL,
	bring_in_id INTEGER NOT NULL,
	operation_id INTEGER NOT NULL,
	CONSTRAINT pk_bring_in_undone PRIMARY KEY (id),
	CONSTRAINT uq_bring_in_undone_bring_in_id UNIQUE (bring_in_id),
	CONSTRAINT fk_bring_in_undone_bring_in_id FOREIGN KEY(bring_in_id) REFERENCES bring_in (id),
	CONSTRAINT fk_bring_in_undone_operation_id FOREIGN KEY(operation_id) REFERENCES operation (id)
)
 STRICT

CREATE INDEX ix_bring_in_undone_operation_id ON bring_in_undone (operation_id)

CREATE TABLE closing_figure (
	id INTEGER NOT NULL,
	closing_id INTEGER NOT NULL,
	figure TEXT NOT NULL CONSTRAINT ck_closing_figure_figure_length CHECK (length(figure) <= 40),
	detail TEXT NOT NULL CONSTRAINT ck_closing_figure_detail_length CHECK (length(detail) <= 200),
	value INTEGER NOT NULL,
	CONSTRAINT pk_closing_figure PRIMARY KEY (id),
	CONSTRAINT fk_closing_figure_closing_id FOREIGN KEY(closing_id) REFERENCES closing (id)
)
 STRICT

CREATE INDEX ix_closing_figure_closing_id ON closing_figure (closing_id)

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
 STRICT

CREATE INDEX ix_deposit_decision_operation_id ON deposit_decision (operation_id)

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
 STRICT

CREATE INDEX ix_fair_change_fair_id ON fair_change (fair_id)

CREATE INDEX ix_fair_change_operation_id ON fair_change (operation_id)

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
 STRICT

CREATE INDEX ix_fair_end_fair_id ON fair_end (fair_id)

CREATE INDEX ix_fair_end_operation_id ON fair_end (operation_id)

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
 STRICT

CREATE INDEX ix_fair_pack_fair_id ON fair_pack (fair_id)

CREATE INDEX ix_fair_pack_operation_id ON fair_pack (operation_id)

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
 STRICT

CREATE INDEX ix_giving_operation_id ON giving (operation_id)

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
 STRICT

CREATE INDEX ix_hold_fate_operation_id ON hold_fate (operation_id)

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
 STRICT

CREATE INDEX ix_lot_operation_id ON lot (operation_id)

CREATE INDEX ix_lot_species_id ON lot (species_id)

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
 STRICT

CREATE INDEX ix_outlook_week_operation_id ON outlook_week (operation_id)

CREATE INDEX ix_outlook_week_species_id ON outlook_week (species_id)

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
 STRICT

CREATE INDEX ix_queue_place_customer_id ON queue_place (customer_id)

CREATE INDEX ix_queue_place_hold_id ON queue_place (hold_id)

CREATE INDEX ix_queue_place_operation_id ON queue_place (operation_id)

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
 STRICT

CREATE INDEX ix_sale_customer_id ON sale (customer_id)

CREATE INDEX ix_sale_operation_id ON sale (operation_id)

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
 STRICT

CREATE INDEX ix_species_flag_operation_id ON species_flag (operation_id)

CREATE INDEX ix_species_flag_species_id ON species_flag (species_id)

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
 STRICT

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
 STRICT

CREATE INDEX ix_animal_fact_lot_id ON animal_fact (lot_id)

CREATE INDEX ix_animal_fact_operation_id ON animal_fact (operation_id)

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
 STRICT

CREATE INDEX ix_arrival_operation_id ON arrival (operation_id)

CREATE INDEX ix_arrival_sale_id ON arrival (sale_id)

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
 STRICT

CREATE INDEX ix_credit_operation_id ON credit (operation_id)

CREATE INDEX ix_credit_sale_id ON credit (sale_id)

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
 STRICT

CREATE INDEX ix_exposure_female_lot_id ON exposure (female_lot_id)

CREATE INDEX ix_exposure_male_lot_id ON exposure (male_lot_id)

CREATE INDEX ix_exposure_operation_id ON exposure (operation_id)

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
 STRICT

CREATE INDEX ix_fair_pack_sale_operation_id ON fair_pack_sale (operation_id)

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
 STRICT

CREATE INDEX ix_figure_operation_id ON figure (operation_id)

CREATE INDEX ix_figure_species_id ON figure (species_id)

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
 STRICT

CREATE INDEX ix_holding_on_hand ON holding (stage_id, lot_id)

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
 STRICT

CREATE INDEX ix_loan_customer_id ON loan (customer_id)

CREATE INDEX ix_loan_lot_id ON loan (lot_id)

CREATE INDEX ix_loan_operation_id ON loan (operation_id)

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
 STRICT

CREATE INDEX ix_lot_fact_lot_id ON lot_fact (lot_id)

CREATE INDEX ix_lot_fact_operation_id ON lot_fact (operation_id)

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
 STRICT

CREATE INDEX ix_lot_source_lot_id ON lot_source (lot_id)

CREATE INDEX ix_lot_source_operation_id ON lot_source (operation_id)

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
 STRICT

CREATE INDEX ix_observation_lot ON observation (lot_id, happened_on)

CREATE INDEX ix_observation_operation_id ON observation (operation_id)

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
 STRICT

CREATE INDEX ix_origin_fact_lot_id ON origin_fact (lot_id)

CREATE INDEX ix_origin_fact_operation_id ON origin_fact (operation_id)

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
 STRICT

CREATE INDEX ix_own_hours_operation_id ON own_hours (operation_id)

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
 STRICT

CREATE INDEX ix_parent_lot_id ON parent (lot_id)

CREATE INDEX ix_parent_operation_id ON parent (operation_id)

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
 STRICT

CREATE INDEX ix_payment_hold_id ON payment (hold_id)

CREATE INDEX ix_payment_operation_id ON payment (operation_id)

CREATE INDEX ix_payment_sale_id ON payment (sale_id)

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
 STRICT

CREATE INDEX ix_post_wait_operation_id ON post_wait (operation_id)

CREATE INDEX ix_post_wait_sale_id ON post_wait (sale_id)

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
 STRICT

CREATE INDEX ix_posting_operation_id ON posting (operation_id)

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
 STRICT

CREATE INDEX ix_price_operation_id ON price (operation_id)

CREATE INDEX ix_price_species_id ON price (species_id)

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
 STRICT

CREATE INDEX ix_queue_end_operation_id ON queue_end (operation_id)

CREATE TABLE sale_charge (
	id INTEGER NOT NULL,
	sale_id INTEGER NOT NULL,
	kind TEXT NOT NULL CONSTRAINT ck_sale_charge_kind_choice CHECK (kind IN ('postage', 'packing', 'other')),
	text TEXT NOT NULL CONSTRAINT ck_sale_charge_text_length CHECK (length(text) <= 120),
	amount INTEGER NOT NULL CONSTRAINT ck_sale_charge_amount_bounds CHECK ("amount" BETWEEN 0 AND 100000000000),
	CONSTRAINT pk_sale_charge PRIMARY KEY (id),
	CONSTRAINT fk_sale_charge_sale_id FOREIGN KEY(sale_id) REFERENCES sale (id)
)
 STRICT

CREATE INDEX ix_sale_charge_sale_id ON sale_charge (sale_id)

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
 STRICT

CREATE INDEX ix_species_flag_end_operation_id ON species_flag_end (operation_id)

CREATE INDEX ix_species_flag_end_species_flag_id ON species_flag_end (species_flag_id)

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
 STRICT

CREATE INDEX ix_stated_origin_lot_id ON stated_origin (lot_id)

CREATE INDEX ix_stated_origin_operation_id ON stated_origin (operation_id)

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
 STRICT

CREATE INDEX ix_store_issue_operation_id ON store_issue (operation_id)

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
 STRICT

CREATE INDEX ix_exposure_end_operation_id ON exposure_end (operation_id)

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
 STRICT

CREATE INDEX ix_hold_line_hold_id ON hold_line (hold_id)

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
 STRICT

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
 STRICT

CREATE INDEX ix_loan_end_operation_id ON loan_end (operation_id)

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
 STRICT

CREATE INDEX ix_movement_entry_id ON movement (entry_id)

CREATE INDEX ix_movement_from ON movement (from_holding_id, count)

CREATE INDEX ix_movement_lent_in ON movement (to_holding_id) WHERE reason = 'lent in'

CREATE INDEX ix_movement_relates_to ON movement (relates_to)

CREATE INDEX ix_movement_to ON movement (to_holding_id, count)

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
 STRICT

CREATE INDEX ix_sale_line_sale_id ON sale_line (sale_id)

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
 STRICT

CREATE INDEX ix_claim_operation_id ON claim (operation_id)

CREATE INDEX ix_claim_sale_line_id ON claim (sale_line_id)

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
 STRICT

CREATE INDEX ix_correction_note_operation_id ON correction_note (operation_id)

CREATE INDEX ix_correction_note_sale_line_id ON correction_note (sale_line_id)

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
 STRICT

CREATE INDEX ix_cost_operation_id ON cost (operation_id)

CREATE INDEX ix_cost_sale_id ON cost (sale_id)

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
 STRICT

CREATE INDEX ix_credit_line_credit_id ON credit_line (credit_id)

CREATE INDEX ix_credit_line_sale_line_id ON credit_line (sale_line_id)

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
 STRICT

CREATE INDEX ix_earmark_operation_id ON earmark (operation_id)

CREATE TABLE sale_movement (
	id INTEGER NOT NULL,
	sale_line_id INTEGER NOT NULL,
	movement_id INTEGER NOT NULL,
	CONSTRAINT pk_sale_movement PRIMARY KEY (id),
	CONSTRAINT fk_sale_movement_sale_line_id FOREIGN KEY(sale_line_id) REFERENCES sale_line (id),
	CONSTRAINT uq_sale_movement_movement_id UNIQUE (movement_id),
	CONSTRAINT fk_sale_movement_movement_id FOREIGN KEY(movement_id) REFERENCES movement (id)
)
 STRICT

CREATE INDEX ix_sale_movement_sale_line_id ON sale_movement (sale_line_id)

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
 STRICT

CREATE INDEX ix_claim_outcome_operation_id ON claim_outcome (operation_id)

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
 STRICT

CREATE INDEX ix_cost_change_cost_id ON cost_change (cost_id)

CREATE INDEX ix_cost_change_operation_id ON cost_change (operation_id)

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
 STRICT

CREATE INDEX ix_cost_scope_cost_id ON cost_scope (cost_id)

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
 STRICT

CREATE INDEX ix_earmark_event_earmark_id ON earmark_event (earmark_id)

CREATE INDEX ix_earmark_event_operation_id ON earmark_event (operation_id)

CREATE TABLE earmark_on (
	earmark_id INTEGER NOT NULL,
	holding_id INTEGER NOT NULL,
	count INTEGER NOT NULL CONSTRAINT ck_earmark_on_count_bounds CHECK ("count" BETWEEN 0 AND 1000000),
	CONSTRAINT pk_earmark_on PRIMARY KEY (earmark_id, holding_id),
	CONSTRAINT fk_earmark_on_earmark_id FOREIGN KEY(earmark_id) REFERENCES earmark (id),
	CONSTRAINT fk_earmark_on_holding_id FOREIGN KEY(holding_id) REFERENCES holding (id)
)
 STRICT

CREATE INDEX ix_earmark_on_holding_id ON earmark_on (holding_id)

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
 STRICT

CREATE INDEX ix_fair_cost_fair_id ON fair_cost (fair_id)

CREATE INDEX ix_fair_cost_operation_id ON fair_cost (operation_id)

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
 STRICT

CREATE INDEX ix_fair_pack_line_fair_pack_id ON fair_pack_line (fair_pack_id)
