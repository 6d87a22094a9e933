CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
CREATE TABLE finding (
	seq INTEGER NOT NULL, 
	finding TEXT NOT NULL, 
	station TEXT, 
	person TEXT, 
	subject TEXT NOT NULL, 
	expected TEXT NOT NULL, 
	found TEXT NOT NULL, 
	sentence TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_finding PRIMARY KEY (seq)
)
 STRICT

;
CREATE TABLE person (
	code TEXT NOT NULL, 
	name TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_person PRIMARY KEY (code)
)
 STRICT

;
CREATE TABLE plant (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	company_prefix TEXT NOT NULL, 
	matrix_pattern TEXT NOT NULL, 
	matrix_example TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_plant PRIMARY KEY (id), 
	CONSTRAINT ck_plant_one_plant CHECK (id = 1)
)
 STRICT

;
CREATE TABLE product (
	gtin TEXT NOT NULL, 
	catalogue_number TEXT NOT NULL, 
	title TEXT NOT NULL, 
	numbered INTEGER NOT NULL, 
	carton_size INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_product PRIMARY KEY (gtin), 
	CONSTRAINT ck_product_carton_size_positive CHECK (carton_size >= 1)
)
 STRICT

;
CREATE TABLE setting (
	name TEXT NOT NULL, 
	value INTEGER NOT NULL, 
	source TEXT NOT NULL, 
	CONSTRAINT pk_setting PRIMARY KEY (name)
)
 STRICT

;
CREATE TABLE sscc_block (
	seq INTEGER NOT NULL, 
	what TEXT NOT NULL, 
	extension TEXT NOT NULL, 
	first_serial INTEGER NOT NULL, 
	last_serial INTEGER NOT NULL, 
	CONSTRAINT pk_sscc_block PRIMARY KEY (seq), 
	CONSTRAINT ck_sscc_block_what_known CHECK (what IN ('carton', 'pallet')), 
	CONSTRAINT ck_sscc_block_block_in_order CHECK (first_serial <= last_serial)
)
 STRICT

;
CREATE TABLE tool (
	code TEXT NOT NULL, 
	what TEXT NOT NULL, 
	parent TEXT, 
	side TEXT NOT NULL, 
	matrix TEXT NOT NULL, 
	status TEXT NOT NULL, 
	made_at TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_tool PRIMARY KEY (code), 
	CONSTRAINT ck_tool_side_known CHECK (side IN ('A', 'B')), 
	CONSTRAINT ck_tool_status_known CHECK (status IN ('in use', 'retired')), 
	CONSTRAINT ck_tool_what_known CHECK (what IN ('lacquer', 'copper', 'father', 'mother', 'stamper')), 
	CONSTRAINT fk_tool_parent FOREIGN KEY(parent) REFERENCES tool (code)
)
 STRICT

;
CREATE INDEX ix_tool_parent ON tool (parent);
CREATE TABLE customer_order (
	code TEXT NOT NULL, 
	consignee TEXT NOT NULL, 
	country TEXT NOT NULL, 
	gtin TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_customer_order PRIMARY KEY (code), 
	CONSTRAINT fk_customer_order_gtin FOREIGN KEY(gtin) REFERENCES product (gtin)
)
 STRICT

;
CREATE TABLE hold (
	code TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	person TEXT, 
	seq INTEGER NOT NULL, 
	lifted_seq INTEGER, 
	CONSTRAINT pk_hold PRIMARY KEY (code), 
	CONSTRAINT fk_hold_person FOREIGN KEY(person) REFERENCES person (code)
)
 STRICT

;
CREATE TABLE journal_pack (
	seq INTEGER NOT NULL, 
	packed BLOB NOT NULL, 
	CONSTRAINT pk_journal_pack PRIMARY KEY (seq), 
	CONSTRAINT fk_journal_pack_seq FOREIGN KEY(seq) REFERENCES journal (seq)
)
 STRICT

;
CREATE TABLE material (
	code TEXT NOT NULL, 
	what TEXT NOT NULL, 
	detail TEXT NOT NULL, 
	gtin TEXT, 
	piece INTEGER, 
	side TEXT, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_material PRIMARY KEY (code), 
	CONSTRAINT ck_material_what_known CHECK (what IN ('compound', 'label')), 
	CONSTRAINT fk_material_gtin FOREIGN KEY(gtin) REFERENCES product (gtin)
)
 STRICT

;
CREATE TABLE pallet (
	sscc TEXT NOT NULL, 
	status TEXT NOT NULL, 
	station TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_pallet PRIMARY KEY (sscc), 
	CONSTRAINT ck_pallet_status_known CHECK (status IN ('open', 'closed', 'accepted', 'loaded', 'shipped')), 
	CONSTRAINT fk_pallet_station FOREIGN KEY(station) REFERENCES station (code)
)
 STRICT

;
CREATE TABLE person_role (
	person TEXT NOT NULL, 
	role TEXT NOT NULL, 
	CONSTRAINT pk_person_role PRIMARY KEY (person, role), 
	CONSTRAINT fk_person_role_person FOREIGN KEY(person) REFERENCES person (code)
)
 STRICT

;
CREATE TABLE product_part (
	gtin TEXT NOT NULL, 
	piece INTEGER NOT NULL, 
	total INTEGER NOT NULL, 
	matrix_a TEXT NOT NULL, 
	matrix_b TEXT NOT NULL, 
	CONSTRAINT pk_product_part PRIMARY KEY (gtin, piece), 
	CONSTRAINT ck_product_part_piece_in_set CHECK (piece >= 1 AND piece <= total), 
	CONSTRAINT fk_product_part_gtin FOREIGN KEY(gtin) REFERENCES product (gtin)
)
 STRICT

;
CREATE TABLE sleeve_batch (
	code TEXT NOT NULL, 
	gtin TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	first_number INTEGER, 
	last_number INTEGER, 
	status TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_sleeve_batch PRIMARY KEY (code), 
	CONSTRAINT ck_sleeve_batch_status_known CHECK (status IN ('current', 'superseded')), 
	CONSTRAINT fk_sleeve_batch_gtin FOREIGN KEY(gtin) REFERENCES product (gtin)
)
 STRICT

;
CREATE TABLE spool (
	station TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	raw TEXT NOT NULL, 
	fact TEXT NOT NULL, 
	spindle TEXT, 
	lot TEXT, 
	carton TEXT, 
	sleeve_number TEXT, digest TEXT DEFAULT '' NOT NULL, turn INTEGER, "after" INTEGER, 
	CONSTRAINT pk_spool PRIMARY KEY (station, number), 
	CONSTRAINT fk_spool_station FOREIGN KEY(station) REFERENCES station (code)
)
 STRICT

;
CREATE INDEX ix_spool_spindle ON spool (spindle) WHERE spindle IS NOT NULL;
CREATE TABLE carton_sleeve (
	carton TEXT NOT NULL, 
	batch TEXT NOT NULL, 
	units INTEGER NOT NULL, 
	CONSTRAINT pk_carton_sleeve PRIMARY KEY (carton, batch), 
	CONSTRAINT fk_carton_sleeve_batch FOREIGN KEY(batch) REFERENCES sleeve_batch (code), 
	CONSTRAINT fk_carton_sleeve_carton FOREIGN KEY(carton) REFERENCES carton (sscc)
)
 WITHOUT ROWID,
 STRICT

;
CREATE INDEX ix_carton_sleeve_batch ON carton_sleeve (batch);
CREATE TABLE hold_item (
	hold TEXT NOT NULL, 
	line INTEGER NOT NULL, 
	subject TEXT NOT NULL, 
	first INTEGER, 
	last INTEGER, 
	CONSTRAINT pk_hold_item PRIMARY KEY (hold, line), 
	CONSTRAINT fk_hold_item_hold FOREIGN KEY(hold) REFERENCES hold (code)
)
 STRICT

;
CREATE INDEX ix_hold_item_subject ON hold_item (subject);
CREATE TABLE lot (
	code TEXT NOT NULL, 
	gtin TEXT NOT NULL, 
	piece INTEGER NOT NULL, 
	planned INTEGER NOT NULL, 
	press TEXT, 
	status TEXT NOT NULL, 
	decision TEXT NOT NULL, 
	counter INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_lot PRIMARY KEY (code), 
	CONSTRAINT ck_lot_decision_known CHECK (decision IN ('pending', 'released', 'rejected')), 
	CONSTRAINT ck_lot_status_known CHECK (status IN ('planned', 'set up', 'running', 'pressed')), 
	CONSTRAINT ck_lot_counter_not_negative CHECK (counter >= 0), 
	CONSTRAINT fk_lot_gtin_piece FOREIGN KEY(gtin, piece) REFERENCES product_part (gtin, piece), 
	CONSTRAINT fk_lot_press FOREIGN KEY(press) REFERENCES station (code)
)
 STRICT

;
CREATE UNIQUE INDEX uq_lot_on_press ON lot (press) WHERE status IN ('set up', 'running');
CREATE TABLE numbered_sleeve (
	gtin TEXT NOT NULL, 
	number TEXT NOT NULL, 
	batch TEXT NOT NULL, 
	carton TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_numbered_sleeve PRIMARY KEY (gtin, number), 
	CONSTRAINT fk_numbered_sleeve_batch FOREIGN KEY(batch) REFERENCES sleeve_batch (code), 
	CONSTRAINT fk_numbered_sleeve_carton FOREIGN KEY(carton) REFERENCES carton (sscc), 
	CONSTRAINT fk_numbered_sleeve_gtin FOREIGN KEY(gtin) REFERENCES product (gtin)
)
 STRICT

;
CREATE INDEX ix_numbered_sleeve_carton ON numbered_sleeve (carton);
CREATE TABLE shipment (
	code TEXT NOT NULL, 
	order_code TEXT NOT NULL, 
	status TEXT NOT NULL, 
	station TEXT NOT NULL, 
	departed_at TEXT, 
	seq INTEGER NOT NULL, departed_seq INTEGER, 
	CONSTRAINT pk_shipment PRIMARY KEY (code), 
	CONSTRAINT ck_shipment_status_known CHECK (status IN ('loading', 'shipped')), 
	CONSTRAINT fk_shipment_order_code FOREIGN KEY(order_code) REFERENCES customer_order (code), 
	CONSTRAINT fk_shipment_station FOREIGN KEY(station) REFERENCES station (code)
)
 STRICT

;
CREATE TABLE movement (
	seq INTEGER NOT NULL, 
	line INTEGER NOT NULL, 
	lot TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	source TEXT NOT NULL, 
	target TEXT NOT NULL, 
	first INTEGER, 
	last INTEGER, 
	at TEXT NOT NULL, sense TEXT CONSTRAINT ck_movement_sense_known CHECK (sense IN ('assumed', 'taken back')), 
	CONSTRAINT pk_movement PRIMARY KEY (seq, line), 
	CONSTRAINT ck_movement_range_holds_quantity CHECK ((first IS NULL) = (last IS NULL) AND (first IS NULL OR (first >= 1 AND last >= first AND quantity <= last - first + 1))), 
	CONSTRAINT ck_movement_quantity_positive CHECK (quantity >= 1), 
	CONSTRAINT ck_movement_goes_somewhere CHECK (source <> target), 
	CONSTRAINT fk_movement_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 STRICT

;
CREATE INDEX ix_movement_lot_source_first ON movement (lot, source, first);
CREATE INDEX ix_movement_source ON movement (source);
CREATE INDEX ix_movement_target ON movement (target);
CREATE TABLE run_segment (
	lot TEXT NOT NULL, 
	first INTEGER NOT NULL, 
	last INTEGER NOT NULL, 
	press TEXT NOT NULL, 
	stamper_a TEXT NOT NULL, 
	stamper_b TEXT NOT NULL, 
	life_a INTEGER NOT NULL, 
	life_b INTEGER NOT NULL, 
	compound TEXT NOT NULL, 
	label_a TEXT NOT NULL, 
	label_b TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_run_segment PRIMARY KEY (lot, first), 
	CONSTRAINT ck_run_segment_range_in_order CHECK (first >= 1 AND last >= first - 1), 
	CONSTRAINT ck_run_segment_life_not_negative CHECK (life_a >= 0 AND life_b >= 0), 
	CONSTRAINT fk_run_segment_compound FOREIGN KEY(compound) REFERENCES material (code), 
	CONSTRAINT fk_run_segment_label_a FOREIGN KEY(label_a) REFERENCES material (code), 
	CONSTRAINT fk_run_segment_label_b FOREIGN KEY(label_b) REFERENCES material (code), 
	CONSTRAINT fk_run_segment_lot FOREIGN KEY(lot) REFERENCES lot (code), 
	CONSTRAINT fk_run_segment_press FOREIGN KEY(press) REFERENCES station (code), 
	CONSTRAINT fk_run_segment_stamper_a FOREIGN KEY(stamper_a) REFERENCES tool (code), 
	CONSTRAINT fk_run_segment_stamper_b FOREIGN KEY(stamper_b) REFERENCES tool (code)
)
 STRICT

;
CREATE INDEX ix_run_segment_compound ON run_segment (compound);
CREATE INDEX ix_run_segment_label_a ON run_segment (label_a);
CREATE INDEX ix_run_segment_label_b ON run_segment (label_b);
CREATE INDEX ix_run_segment_press ON run_segment (press);
CREATE INDEX ix_run_segment_stamper_a ON run_segment (stamper_a);
CREATE INDEX ix_run_segment_stamper_b ON run_segment (stamper_b);
CREATE TABLE stock (
	place TEXT NOT NULL, 
	lot TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	CONSTRAINT pk_stock PRIMARY KEY (place, lot), 
	CONSTRAINT ck_stock_place_not_negative CHECK (quantity >= 0), 
	CONSTRAINT fk_stock_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 WITHOUT ROWID,
 STRICT

;
CREATE TABLE judgement (
	seq INTEGER NOT NULL, 
	sample TEXT NOT NULL, 
	good INTEGER NOT NULL, 
	defect TEXT, 
	corrected_by INTEGER, 
	CONSTRAINT pk_judgement PRIMARY KEY (seq), 
	CONSTRAINT ck_judgement_defect_when_bad CHECK ((good = 1) = (defect IS NULL)), 
	CONSTRAINT fk_judgement_sample FOREIGN KEY(sample) REFERENCES sample (code)
)
 STRICT

;
CREATE INDEX ix_judgement_sample ON judgement (sample);
CREATE TABLE measurement (
	seq INTEGER NOT NULL, 
	sample TEXT NOT NULL, 
	quantity TEXT NOT NULL, 
	value TEXT NOT NULL, 
	unit TEXT NOT NULL, 
	CONSTRAINT pk_measurement PRIMARY KEY (seq), 
	CONSTRAINT fk_measurement_sample FOREIGN KEY(sample) REFERENCES sample (code)
)
 STRICT

;
CREATE TRIGGER run_segment_insert_no_overlap BEFORE INSERT ON run_segment WHEN EXISTS (SELECT 1 FROM run_segment s WHERE s.lot = NEW.lot AND s."first" <> NEW."first"
            AND s."first" <= NEW."last" AND s."last" >= NEW."first") BEGIN SELECT RAISE(ABORT, 'run segments of one lot may not overlap'); END;
CREATE TRIGGER run_segment_update_no_overlap BEFORE UPDATE ON run_segment WHEN EXISTS (SELECT 1 FROM run_segment s WHERE s.lot = NEW.lot AND s."first" <> NEW."first"
            AND s."first" <= NEW."last" AND s."last" >= NEW."first")
            OR NEW."last" > (SELECT l.counter FROM lot l WHERE l.code = NEW.lot) BEGIN SELECT RAISE(ABORT, 'a run segment may neither overlap another nor pass the counter of its lot'); END;
CREATE TRIGGER movement_in_lot BEFORE INSERT ON movement WHEN NEW."last" IS NOT NULL AND NEW."last" > (SELECT l.counter FROM lot l WHERE l.code = NEW.lot) BEGIN SELECT RAISE(ABORT, 'a stroke range may not pass the counter of its lot'); END;
CREATE TRIGGER movement_stroke_once BEFORE INSERT ON movement WHEN NEW.source = 'counter' AND (NEW."first" IS NULL OR EXISTS (
            SELECT 1 FROM movement m WHERE m.lot = NEW.lot AND m.source = 'counter'
            AND m."first" <= NEW."last" AND m."last" >= NEW."first")) BEGIN SELECT RAISE(ABORT, 'a stroke leaves the press counter once, and its range is known'); END;
CREATE TABLE label_count (
	seq INTEGER NOT NULL, 
	subject TEXT NOT NULL, 
	fate TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	CONSTRAINT pk_label_count PRIMARY KEY (seq), 
	CONSTRAINT ck_label_count_fate_known CHECK (fate IN ('printed', 'spoiled', 'returned', 'destroyed', 'samples')), 
	CONSTRAINT ck_label_count_quantity_positive CHECK (quantity >= 1)
)
 STRICT

;
CREATE INDEX ix_label_count_subject ON label_count (subject);
CREATE TABLE sscc_return (
	seq INTEGER NOT NULL, 
	extension TEXT NOT NULL, 
	first_serial INTEGER NOT NULL, 
	last_serial INTEGER NOT NULL, 
	CONSTRAINT pk_sscc_return PRIMARY KEY (seq), 
	CONSTRAINT ck_sscc_return_range_in_order CHECK (first_serial <= last_serial)
)
 STRICT

;
CREATE TABLE void_label (
	subject TEXT NOT NULL, 
	replaced_by TEXT, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_void_label PRIMARY KEY (subject)
)
 STRICT

;
CREATE TABLE issued_number (
	gtin TEXT NOT NULL, 
	number TEXT NOT NULL, 
	batch TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_issued_number PRIMARY KEY (gtin, number), 
	CONSTRAINT fk_issued_number_batch FOREIGN KEY(batch) REFERENCES sleeve_batch (code), 
	CONSTRAINT fk_issued_number_gtin FOREIGN KEY(gtin) REFERENCES product (gtin)
)
 STRICT

;
CREATE INDEX ix_issued_number_batch ON issued_number (batch);
CREATE TRIGGER sscc_block_once BEFORE INSERT ON sscc_block WHEN EXISTS (SELECT 1 FROM sscc_block b WHERE b.extension = NEW.extension AND b.first_serial <= NEW.last_serial AND b.last_serial >= NEW.first_serial) BEGIN SELECT RAISE(ABORT, 'an SSCC is given out once'); END;
CREATE TRIGGER sscc_return_once BEFORE INSERT ON sscc_return WHEN EXISTS (SELECT 1 FROM sscc_return b WHERE b.extension = NEW.extension AND b.first_serial <= NEW.last_serial AND b.last_serial >= NEW.first_serial) BEGIN SELECT RAISE(ABORT, 'an SSCC label comes back once'); END;
CREATE TABLE kit_item (
	code TEXT NOT NULL, 
	name TEXT NOT NULL, 
	gtin TEXT NOT NULL, 
	status TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_kit_item PRIMARY KEY (code), 
	CONSTRAINT ck_kit_item_status_known CHECK (status IN ('current', 'superseded')), 
	CONSTRAINT fk_kit_item_gtin FOREIGN KEY(gtin) REFERENCES product (gtin)
)
 STRICT

;
CREATE TABLE kit_piece (
	gtin TEXT NOT NULL, 
	place INTEGER NOT NULL, 
	disc INTEGER, 
	item TEXT, 
	name TEXT NOT NULL, 
	CONSTRAINT pk_kit_piece PRIMARY KEY (gtin, place), 
	CONSTRAINT fk_kit_piece_gtin FOREIGN KEY(gtin) REFERENCES product (gtin), 
	CONSTRAINT fk_kit_piece_item FOREIGN KEY(item) REFERENCES kit_item (code)
)
 STRICT

;
CREATE TABLE clearance_area (
	line INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	CONSTRAINT pk_clearance_area PRIMARY KEY (line)
)
 STRICT

;
CREATE TABLE carton_item (
	carton TEXT NOT NULL, 
	item TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	CONSTRAINT pk_carton_item PRIMARY KEY (carton, item), 
	CONSTRAINT ck_carton_item_quantity_not_negative CHECK (quantity >= 0), 
	CONSTRAINT fk_carton_item_carton FOREIGN KEY(carton) REFERENCES carton (sscc), 
	CONSTRAINT fk_carton_item_item FOREIGN KEY(item) REFERENCES kit_item (code)
)
 WITHOUT ROWID,
 STRICT

;
CREATE TABLE hold_back (
	station TEXT NOT NULL, 
	carton TEXT NOT NULL, 
	units INTEGER NOT NULL, 
	"left" INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_hold_back PRIMARY KEY (station), 
	CONSTRAINT ck_hold_back_left_of_units CHECK ("left" >= 0 AND "left" <= units), 
	CONSTRAINT fk_hold_back_carton FOREIGN KEY(carton) REFERENCES carton (sscc), 
	CONSTRAINT fk_hold_back_station FOREIGN KEY(station) REFERENCES station (code)
)
 STRICT

;
CREATE TABLE location (
	code TEXT NOT NULL, 
	name TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_location PRIMARY KEY (code)
)
 WITHOUT ROWID,
 STRICT

;
CREATE TABLE aggregation_check (
	seq INTEGER NOT NULL, 
	carton TEXT NOT NULL, 
	recorded INTEGER NOT NULL, 
	counted INTEGER NOT NULL, 
	CONSTRAINT pk_aggregation_check PRIMARY KEY (seq), 
	CONSTRAINT fk_aggregation_check_carton FOREIGN KEY(carton) REFERENCES carton (sscc)
)
 STRICT

;
CREATE TABLE allocation (
	subject TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	order_code TEXT NOT NULL, 
	units INTEGER NOT NULL, 
	released_seq INTEGER, 
	CONSTRAINT pk_allocation PRIMARY KEY (subject, seq), 
	CONSTRAINT ck_allocation_units_positive CHECK (units >= 1), 
	CONSTRAINT fk_allocation_order_code FOREIGN KEY(order_code) REFERENCES customer_order (code)
)
 STRICT

;
CREATE INDEX ix_allocation_order_code ON allocation (order_code);
CREATE UNIQUE INDEX uq_allocation_open ON allocation (subject) WHERE released_seq IS NULL;
CREATE TABLE driver_check (
	seq INTEGER NOT NULL, 
	shipment TEXT NOT NULL, 
	name TEXT NOT NULL, 
	CONSTRAINT pk_driver_check PRIMARY KEY (seq), 
	CONSTRAINT fk_driver_check_shipment FOREIGN KEY(shipment) REFERENCES shipment (code)
)
 STRICT

;
CREATE INDEX ix_driver_check_shipment ON driver_check (shipment);
CREATE TABLE return_line (
	number INTEGER NOT NULL, 
	carton TEXT, 
	lot TEXT, 
	matrix TEXT, 
	mark TEXT, 
	discs INTEGER NOT NULL, 
	status TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_return_line PRIMARY KEY (number), 
	CONSTRAINT ck_return_line_status_known CHECK (status IN ('quarantine', 'restocked', 'destroyed')), 
	CONSTRAINT ck_return_line_carton_or_matrix CHECK ((carton IS NULL) = (matrix IS NOT NULL)), 
	CONSTRAINT ck_return_line_discs_positive CHECK (discs >= 1), 
	CONSTRAINT fk_return_line_carton FOREIGN KEY(carton) REFERENCES carton (sscc), 
	CONSTRAINT fk_return_line_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 STRICT

;
CREATE INDEX ix_return_line_carton ON return_line (carton);
CREATE INDEX ix_return_line_lot ON return_line (lot);
CREATE TABLE stock_count (
	seq INTEGER NOT NULL, 
	lot TEXT NOT NULL, 
	place TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	expected INTEGER NOT NULL, 
	CONSTRAINT pk_stock_count PRIMARY KEY (seq, lot), 
	CONSTRAINT ck_stock_count_quantity_not_negative CHECK (quantity >= 0), 
	CONSTRAINT fk_stock_count_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 STRICT

;
CREATE INDEX ix_stock_count_lot ON stock_count (lot);
CREATE TABLE investigation (
	seq INTEGER NOT NULL, 
	subject TEXT NOT NULL, 
	difference INTEGER, 
	reason TEXT NOT NULL, 
	person TEXT NOT NULL, 
	closed_seq INTEGER, 
	CONSTRAINT pk_investigation PRIMARY KEY (seq), 
	CONSTRAINT fk_investigation_person FOREIGN KEY(person) REFERENCES person (code)
)
 STRICT

;
CREATE INDEX ix_investigation_subject ON investigation (subject);
CREATE TABLE tree_node (
	level INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	hash BLOB NOT NULL, 
	CONSTRAINT pk_tree_node PRIMARY KEY (level, position)
)
 WITHOUT ROWID,
 STRICT

;
CREATE TABLE containment_case (
	code TEXT NOT NULL, 
	cause TEXT NOT NULL, 
	safety INTEGER NOT NULL, 
	reason TEXT NOT NULL, 
	person TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	closed_seq INTEGER, 
	CONSTRAINT pk_containment_case PRIMARY KEY (code), 
	CONSTRAINT fk_containment_case_person FOREIGN KEY(person) REFERENCES person (code)
)
 STRICT

;
CREATE TABLE case_entry (
	seq INTEGER NOT NULL, 
	case_code TEXT NOT NULL, 
	kind TEXT NOT NULL, 
	CONSTRAINT pk_case_entry PRIMARY KEY (seq), 
	CONSTRAINT fk_case_entry_case_code FOREIGN KEY(case_code) REFERENCES containment_case (code)
)
 STRICT

;
CREATE INDEX ix_case_entry_case_code ON case_entry (case_code, seq);
CREATE TABLE case_scope (
	case_code TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	head_seq INTEGER NOT NULL, 
	least INTEGER NOT NULL, 
	most INTEGER NOT NULL, 
	CONSTRAINT pk_case_scope PRIMARY KEY (case_code, version), 
	CONSTRAINT fk_case_scope_case_code FOREIGN KEY(case_code) REFERENCES containment_case (code)
)
 STRICT

;
CREATE TABLE case_hold (
	case_code TEXT NOT NULL, 
	hold TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_case_hold PRIMARY KEY (case_code, hold), 
	CONSTRAINT fk_case_hold_case_code FOREIGN KEY(case_code) REFERENCES containment_case (code), 
	CONSTRAINT fk_case_hold_hold FOREIGN KEY(hold) REFERENCES hold (code)
)
 STRICT

;
CREATE TABLE case_notice (
	seq INTEGER NOT NULL, 
	case_code TEXT NOT NULL, 
	consignee TEXT NOT NULL, 
	method TEXT NOT NULL, 
	version INTEGER NOT NULL, 
	sha256 TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_case_notice PRIMARY KEY (seq), 
	CONSTRAINT fk_case_notice_case_code FOREIGN KEY(case_code) REFERENCES containment_case (code)
)
 STRICT

;
CREATE INDEX ix_case_notice_case_code ON case_notice (case_code);
CREATE TABLE case_reply (
	seq INTEGER NOT NULL, 
	case_code TEXT NOT NULL, 
	consignee TEXT NOT NULL, 
	on_hand INTEGER NOT NULL, 
	returned INTEGER, 
	destroyed INTEGER, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_case_reply PRIMARY KEY (seq), 
	CONSTRAINT ck_case_reply_on_hand_not_negative CHECK (on_hand >= 0), 
	CONSTRAINT fk_case_reply_case_code FOREIGN KEY(case_code) REFERENCES containment_case (code)
)
 STRICT

;
CREATE INDEX ix_case_reply_case_code ON case_reply (case_code);
CREATE TABLE case_level (
	seq INTEGER NOT NULL, 
	case_code TEXT NOT NULL, 
	level TEXT NOT NULL, 
	percent INTEGER NOT NULL, 
	source TEXT NOT NULL, 
	among INTEGER NOT NULL, 
	CONSTRAINT pk_case_level PRIMARY KEY (seq), 
	CONSTRAINT ck_case_level_level_known CHECK (level IN ('A', 'B', 'C', 'D', 'E')), 
	CONSTRAINT ck_case_level_percent_is_a_share CHECK (percent >= 0 AND percent <= 100), 
	CONSTRAINT fk_case_level_case_code FOREIGN KEY(case_code) REFERENCES containment_case (code)
)
 STRICT

;
CREATE INDEX ix_case_level_case_code ON case_level (case_code);
CREATE TABLE case_chosen (
	seq INTEGER NOT NULL, 
	consignee TEXT NOT NULL, 
	CONSTRAINT pk_case_chosen PRIMARY KEY (seq, consignee), 
	CONSTRAINT fk_case_chosen_seq FOREIGN KEY(seq) REFERENCES case_level (seq)
)
 STRICT

;
CREATE TABLE case_check (
	seq INTEGER NOT NULL, 
	case_code TEXT NOT NULL, 
	consignee TEXT NOT NULL, 
	result TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_case_check PRIMARY KEY (seq), 
	CONSTRAINT ck_case_check_result_known CHECK (result IN ('ok', 'not-received', 'not-acted', 'not-reached')), 
	CONSTRAINT fk_case_check_case_code FOREIGN KEY(case_code) REFERENCES containment_case (code)
)
 STRICT

;
CREATE INDEX ix_case_check_case_code ON case_check (case_code);
CREATE TABLE case_estimate (
	seq INTEGER NOT NULL, 
	case_code TEXT NOT NULL, 
	date TEXT NOT NULL, 
	CONSTRAINT pk_case_estimate PRIMARY KEY (seq), 
	CONSTRAINT fk_case_estimate_case_code FOREIGN KEY(case_code) REFERENCES containment_case (code)
)
 STRICT

;
CREATE INDEX ix_case_estimate_case_code ON case_estimate (case_code);
CREATE TABLE person_pin (
	person TEXT NOT NULL, 
	salt TEXT NOT NULL, 
	cost INTEGER NOT NULL, 
	block INTEGER NOT NULL, 
	lanes INTEGER NOT NULL, 
	digest TEXT NOT NULL, 
	key_id TEXT NOT NULL, 
	failures INTEGER NOT NULL, 
	failed_at TEXT, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_person_pin PRIMARY KEY (person), 
	CONSTRAINT ck_person_pin_failures_not_negative CHECK (failures >= 0), 
	CONSTRAINT fk_person_pin_person FOREIGN KEY(person) REFERENCES person (code)
)
 STRICT

;
CREATE TABLE partner_document (
	sha256 TEXT NOT NULL, 
	file TEXT NOT NULL, 
	size INTEGER NOT NULL, 
	events INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_partner_document PRIMARY KEY (sha256)
)
 STRICT

;
CREATE TABLE partner_event (
	seq INTEGER NOT NULL, 
	document TEXT NOT NULL, 
	place INTEGER NOT NULL, 
	event_id TEXT NOT NULL, 
	content TEXT NOT NULL, 
	at TEXT NOT NULL, 
	verdict TEXT NOT NULL, 
	sentence TEXT NOT NULL, 
	CONSTRAINT pk_partner_event PRIMARY KEY (seq), 
	CONSTRAINT ck_partner_event_verdict_known CHECK (verdict IN ('booked', 'noted', 'refused', 'changed', 'withdrawn')), 
	CONSTRAINT fk_partner_event_document FOREIGN KEY(document) REFERENCES partner_document (sha256)
)
 STRICT

;
CREATE INDEX ix_partner_event_event_id ON partner_event (event_id);
CREATE INDEX ix_partner_event_document_place ON partner_event (document, place);
CREATE TABLE partner_thing (
	seq INTEGER NOT NULL, 
	line INTEGER NOT NULL, 
	uri TEXT NOT NULL, 
	code TEXT, 
	quantity TEXT, 
	uom TEXT, 
	CONSTRAINT pk_partner_thing PRIMARY KEY (seq, line), 
	CONSTRAINT fk_partner_thing_seq FOREIGN KEY(seq) REFERENCES partner_event (seq)
)
 STRICT

;
CREATE INDEX ix_partner_thing_code ON partner_thing (code);
CREATE TABLE number_fate (
	gtin TEXT NOT NULL, 
	number TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	fate TEXT NOT NULL, 
	return_number INTEGER, carton TEXT, 
	CONSTRAINT pk_number_fate PRIMARY KEY (gtin, number, seq), 
	CONSTRAINT ck_number_fate_fate_known CHECK (fate IN ('returned', 'restocked', 'free', 'destroyed')), 
	CONSTRAINT fk_number_fate_gtin FOREIGN KEY(gtin) REFERENCES product (gtin), 
	CONSTRAINT fk_number_fate_return_number FOREIGN KEY(return_number) REFERENCES return_line (number)
)
 STRICT

;
CREATE INDEX ix_number_fate_return_number ON number_fate (return_number);
CREATE TABLE order_line (
	order_code TEXT NOT NULL, 
	line INTEGER NOT NULL, 
	gtin TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	CONSTRAINT pk_order_line PRIMARY KEY (order_code, line), 
	CONSTRAINT ck_order_line_quantity_positive CHECK (quantity >= 1), 
	CONSTRAINT fk_order_line_gtin FOREIGN KEY(gtin) REFERENCES product (gtin), 
	CONSTRAINT fk_order_line_order_code FOREIGN KEY(order_code) REFERENCES customer_order (code)
)
 STRICT

;
CREATE UNIQUE INDEX uq_order_line_product ON order_line (order_code, gtin);
CREATE TABLE mixed_count (
	seq INTEGER NOT NULL, 
	lot TEXT NOT NULL, 
	place TEXT NOT NULL, 
	own INTEGER NOT NULL, 
	quantity INTEGER NOT NULL, 
	expected INTEGER NOT NULL, 
	CONSTRAINT pk_mixed_count PRIMARY KEY (seq, lot), 
	CONSTRAINT ck_mixed_count_quantity_not_negative CHECK (quantity >= 0), 
	CONSTRAINT fk_mixed_count_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 STRICT

;
CREATE INDEX ix_mixed_count_lot ON mixed_count (lot);
CREATE TABLE hopper_emptied (
	seq INTEGER NOT NULL, 
	press TEXT NOT NULL, 
	lot TEXT NOT NULL, 
	"after" INTEGER NOT NULL, 
	CONSTRAINT pk_hopper_emptied PRIMARY KEY (seq), 
	CONSTRAINT ck_hopper_emptied_after_not_negative CHECK ("after" >= 0), 
	CONSTRAINT fk_hopper_emptied_press FOREIGN KEY(press) REFERENCES station (code), 
	CONSTRAINT fk_hopper_emptied_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 STRICT

;
CREATE INDEX ix_hopper_emptied_press ON hopper_emptied (press);
CREATE TABLE contact (
	seq INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	person TEXT NOT NULL, 
	email TEXT NOT NULL, 
	telephone TEXT NOT NULL, 
	address TEXT NOT NULL, 
	since TEXT NOT NULL, 
	CONSTRAINT pk_contact PRIMARY KEY (seq)
)
 STRICT

;
CREATE INDEX ix_contact_name ON contact (name);
CREATE TABLE carton_draw (
	subject TEXT NOT NULL, 
	carton TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	rank TEXT NOT NULL, 
	CONSTRAINT pk_carton_draw PRIMARY KEY (subject, carton), 
	CONSTRAINT fk_carton_draw_carton FOREIGN KEY(carton) REFERENCES carton (sscc)
)
 STRICT

;
CREATE TABLE station_key (
	station TEXT NOT NULL, 
	"key" TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	withdrawn_seq INTEGER, 
	CONSTRAINT pk_station_key PRIMARY KEY (station, "key"), 
	CONSTRAINT fk_station_key_station FOREIGN KEY(station) REFERENCES station (code)
)
 STRICT

;
CREATE TABLE scan_signature (
	station TEXT NOT NULL, 
	first INTEGER NOT NULL, 
	last INTEGER NOT NULL, 
	"key" TEXT NOT NULL, 
	signature BLOB NOT NULL, 
	CONSTRAINT pk_scan_signature PRIMARY KEY (station, first)
)
 STRICT

;
CREATE TABLE reason_act (
	reason TEXT NOT NULL, 
	act TEXT NOT NULL, 
	CONSTRAINT pk_reason_act PRIMARY KEY (reason, act), 
	CONSTRAINT fk_reason_act_reason FOREIGN KEY(reason) REFERENCES reason (code)
)
 STRICT

;
CREATE TABLE plant_change (
	seq INTEGER NOT NULL, 
	field TEXT NOT NULL, 
	subject TEXT NOT NULL, 
	value TEXT NOT NULL, 
	since TEXT NOT NULL, 
	CONSTRAINT pk_plant_change PRIMARY KEY (seq, field), 
	CONSTRAINT ck_plant_change_field_known CHECK (field IN ('roles', 'badge', 'title', 'catalogue number', 'carton size', 'print', 'station', 'setting'))
)
 STRICT

;
CREATE INDEX ix_plant_change_subject ON plant_change (subject);
CREATE TRIGGER scan_signature_no_update BEFORE UPDATE ON scan_signature BEGIN SELECT RAISE(ABORT, 'signatures of scans are append-only: none is edited'); END;
CREATE TRIGGER scan_signature_no_delete BEFORE DELETE ON scan_signature BEGIN SELECT RAISE(ABORT, 'signatures of scans are append-only: none is deleted'); END;
CREATE TABLE last_scan (
	station TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	raw TEXT NOT NULL, 
	refused INTEGER NOT NULL, 
	CONSTRAINT pk_last_scan PRIMARY KEY (station)
)
 STRICT

;
CREATE TABLE lost_number (
	gtin TEXT NOT NULL, 
	number TEXT NOT NULL, 
	carton TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_lost_number PRIMARY KEY (gtin, number), 
	CONSTRAINT fk_lost_number_gtin FOREIGN KEY(gtin) REFERENCES product (gtin), 
	CONSTRAINT fk_lost_number_carton FOREIGN KEY(carton) REFERENCES carton (sscc)
)
 STRICT

;
CREATE INDEX ix_stock_lot ON stock (lot);
CREATE INDEX ix_movement_at ON movement (at);
CREATE INDEX ix_finding_at ON finding (at);
CREATE INDEX ix_shipment_order_code ON shipment (order_code);
CREATE TABLE process_parameter (
	process TEXT NOT NULL, 
	name TEXT NOT NULL, 
	line INTEGER NOT NULL, 
	unit TEXT NOT NULL, 
	least TEXT, 
	most TEXT, 
	CONSTRAINT pk_process_parameter PRIMARY KEY (process, name), 
	CONSTRAINT fk_process_parameter_process FOREIGN KEY(process) REFERENCES process (name)
)
 STRICT

;
CREATE TABLE equipment (
	code TEXT NOT NULL, 
	process TEXT NOT NULL, 
	name TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_equipment PRIMARY KEY (code), 
	CONSTRAINT fk_equipment_process FOREIGN KEY(process) REFERENCES process (name)
)
 STRICT

;
CREATE TABLE step (
	code TEXT NOT NULL, 
	equipment TEXT NOT NULL, 
	process TEXT NOT NULL, 
	status TEXT NOT NULL, 
	began_at TEXT NOT NULL, 
	ended_at TEXT, 
	taken INTEGER NOT NULL, 
	made INTEGER NOT NULL, 
	outside INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	ended_seq INTEGER, 
	CONSTRAINT pk_step PRIMARY KEY (code), 
	CONSTRAINT ck_step_status_known CHECK (status IN ('open', 'ended')), 
	CONSTRAINT ck_step_makes_no_more_than_it_took CHECK (made >= 0 AND made <= taken), 
	CONSTRAINT fk_step_equipment FOREIGN KEY(equipment) REFERENCES equipment (code), 
	CONSTRAINT fk_step_process FOREIGN KEY(process) REFERENCES process (name)
)
 STRICT

;
CREATE TABLE step_item (
	seq INTEGER NOT NULL, 
	step TEXT NOT NULL, 
	what TEXT NOT NULL, 
	thing TEXT NOT NULL, 
	lot TEXT, 
	first INTEGER, 
	last INTEGER, 
	amount INTEGER, 
	at TEXT NOT NULL, taken_back INTEGER, 
	CONSTRAINT pk_step_item PRIMARY KEY (seq), 
	CONSTRAINT ck_step_item_what_known CHECK (what IN ('tool', 'spindle', 'strokes', 'material', 'ground')), 
	CONSTRAINT ck_step_item_range_in_order CHECK ((first IS NULL) = (last IS NULL) AND (first IS NULL OR (first >= 1 AND last >= first))), 
	CONSTRAINT fk_step_item_step FOREIGN KEY(step) REFERENCES step (code), 
	CONSTRAINT fk_step_item_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 STRICT

;
CREATE TABLE step_output (
	seq INTEGER NOT NULL, 
	step TEXT NOT NULL, 
	material TEXT NOT NULL, 
	amount INTEGER NOT NULL, corrected_by INTEGER, 
	CONSTRAINT pk_step_output PRIMARY KEY (seq), 
	CONSTRAINT ck_step_output_amount_positive CHECK (amount >= 1), 
	CONSTRAINT fk_step_output_step FOREIGN KEY(step) REFERENCES step (code), 
	CONSTRAINT fk_step_output_material FOREIGN KEY(material) REFERENCES material (code)
)
 STRICT

;
CREATE TABLE step_reading (
	seq INTEGER NOT NULL, 
	step TEXT NOT NULL, 
	parameter TEXT NOT NULL, 
	value TEXT NOT NULL, 
	unit TEXT NOT NULL, 
	outside INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	person TEXT, 
	CONSTRAINT pk_step_reading PRIMARY KEY (seq), 
	CONSTRAINT fk_step_reading_step FOREIGN KEY(step) REFERENCES step (code)
)
 STRICT

;
CREATE INDEX ix_step_equipment ON step (equipment);
CREATE INDEX ix_step_item_step ON step_item (step);
CREATE INDEX ix_step_item_thing ON step_item (thing);
CREATE INDEX ix_step_item_lot ON step_item (lot);
CREATE INDEX ix_step_output_step ON step_output (step);
CREATE INDEX ix_step_reading_step ON step_reading (step);
CREATE UNIQUE INDEX uq_step_output_material ON step_output (material);
CREATE UNIQUE INDEX uq_step_open ON step (equipment) WHERE status = 'open';
CREATE TABLE browser (
	seq INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	station TEXT, 
	digest TEXT NOT NULL, 
	person TEXT NOT NULL, 
	reason TEXT NOT NULL, 
	at TEXT NOT NULL, 
	withdrawn_seq INTEGER, 
	CONSTRAINT pk_browser PRIMARY KEY (seq), 
	CONSTRAINT fk_browser_station FOREIGN KEY(station) REFERENCES station (code)
)
 STRICT

;
CREATE UNIQUE INDEX ix_browser_digest ON browser (digest);
CREATE TABLE lab_test (
	name TEXT NOT NULL, 
	unit TEXT NOT NULL, 
	measured_on TEXT NOT NULL, 
	method TEXT NOT NULL, 
	defect TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_lab_test PRIMARY KEY (name), 
	CONSTRAINT ck_lab_test_measured_on_known CHECK (measured_on IN ('side', 'disc'))
)
 STRICT

;
CREATE TABLE lab_limit (
	seq INTEGER NOT NULL, 
	test TEXT NOT NULL, 
	gtin TEXT, 
	lower TEXT, 
	upper TEXT, 
	since TEXT NOT NULL, 
	CONSTRAINT pk_lab_limit PRIMARY KEY (seq), 
	CONSTRAINT fk_lab_limit_test FOREIGN KEY(test) REFERENCES lab_test (name), 
	CONSTRAINT fk_lab_limit_gtin FOREIGN KEY(gtin) REFERENCES product (gtin)
)
 STRICT

;
CREATE INDEX ix_lab_limit_test ON lab_limit (test);
CREATE TABLE gauge (
	code TEXT NOT NULL, 
	name TEXT NOT NULL, 
	resolution TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_gauge PRIMARY KEY (code)
)
 STRICT

;
CREATE TABLE gauge_test (
	gauge TEXT NOT NULL, 
	test TEXT NOT NULL, 
	CONSTRAINT pk_gauge_test PRIMARY KEY (gauge, test), 
	CONSTRAINT fk_gauge_test_gauge FOREIGN KEY(gauge) REFERENCES gauge (code), 
	CONSTRAINT fk_gauge_test_test FOREIGN KEY(test) REFERENCES lab_test (name)
)
 STRICT

;
CREATE TABLE gauge_calibration (
	seq INTEGER NOT NULL, 
	gauge TEXT NOT NULL, 
	calibrated TEXT NOT NULL, 
	due TEXT NOT NULL, 
	CONSTRAINT pk_gauge_calibration PRIMARY KEY (seq), 
	CONSTRAINT fk_gauge_calibration_gauge FOREIGN KEY(gauge) REFERENCES gauge (code)
)
 STRICT

;
CREATE INDEX ix_gauge_calibration_gauge ON gauge_calibration (gauge);
CREATE TABLE lab_result (
	seq INTEGER NOT NULL, 
	sample TEXT NOT NULL, 
	test TEXT NOT NULL, 
	value TEXT NOT NULL, 
	unit TEXT NOT NULL, 
	side TEXT, 
	gauge TEXT NOT NULL, 
	overdue INTEGER NOT NULL, 
	limit_seq INTEGER, 
	standing TEXT NOT NULL, 
	at TEXT NOT NULL, 
	replaced_by INTEGER, file_seq INTEGER, file_row INTEGER, reading TEXT, 
	CONSTRAINT pk_lab_result PRIMARY KEY (seq), 
	CONSTRAINT ck_lab_result_standing_known CHECK (standing IN ('within', 'outside', 'no limit')), 
	CONSTRAINT ck_lab_result_side_known CHECK (side IN ('A', 'B')), 
	CONSTRAINT fk_lab_result_sample FOREIGN KEY(sample) REFERENCES sample (code), 
	CONSTRAINT fk_lab_result_test FOREIGN KEY(test) REFERENCES lab_test (name), 
	CONSTRAINT fk_lab_result_gauge FOREIGN KEY(gauge) REFERENCES gauge (code), 
	CONSTRAINT fk_lab_result_limit_seq FOREIGN KEY(limit_seq) REFERENCES lab_limit (seq)
)
 STRICT

;
CREATE INDEX ix_lab_result_sample ON lab_result (sample);
CREATE TABLE instrument (
	name TEXT NOT NULL, 
	decimal_sign TEXT NOT NULL, 
	separator TEXT NOT NULL, 
	sample_heading TEXT NOT NULL, 
	side_heading TEXT, 
	gauge TEXT, 
	gauge_heading TEXT, 
	seq INTEGER NOT NULL, time_heading TEXT, time_form TEXT, 
	CONSTRAINT pk_instrument PRIMARY KEY (name), 
	CONSTRAINT ck_instrument_decimal_sign_known CHECK (decimal_sign IN ('point', 'comma')), 
	CONSTRAINT fk_instrument_gauge FOREIGN KEY(gauge) REFERENCES gauge (code)
)
 STRICT

;
CREATE TABLE instrument_column (
	instrument TEXT NOT NULL, 
	line INTEGER NOT NULL, 
	heading TEXT NOT NULL, 
	test TEXT NOT NULL, 
	unit TEXT, 
	unit_heading TEXT, 
	CONSTRAINT pk_instrument_column PRIMARY KEY (instrument, line), 
	CONSTRAINT fk_instrument_column_instrument FOREIGN KEY(instrument) REFERENCES instrument (name), 
	CONSTRAINT fk_instrument_column_test FOREIGN KEY(test) REFERENCES lab_test (name)
)
 STRICT

;
CREATE TABLE instrument_file (
	sha256 TEXT NOT NULL, 
	file TEXT NOT NULL, 
	instrument TEXT NOT NULL, 
	read_values INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_instrument_file PRIMARY KEY (sha256), 
	CONSTRAINT fk_instrument_file_instrument FOREIGN KEY(instrument) REFERENCES instrument (name)
)
 STRICT

;
CREATE TABLE chart_baseline (
	seq INTEGER NOT NULL, 
	subject TEXT NOT NULL, 
	test TEXT NOT NULL, 
	chart TEXT NOT NULL, 
	centre TEXT NOT NULL, 
	sigma TEXT NOT NULL, 
	group_size INTEGER NOT NULL, 
	points INTEGER NOT NULL, 
	CONSTRAINT pk_chart_baseline PRIMARY KEY (seq)
)
 STRICT

;
CREATE INDEX ix_chart_baseline_subject ON chart_baseline (subject);
CREATE TABLE blank (
	tool TEXT NOT NULL, 
	blank TEXT NOT NULL, 
	gtin TEXT NOT NULL, 
	piece INTEGER NOT NULL, 
	side TEXT NOT NULL, 
	matrix TEXT NOT NULL, 
	fault TEXT, 
	at TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_blank PRIMARY KEY (tool), 
	CONSTRAINT fk_blank_gtin_piece FOREIGN KEY(gtin, piece) REFERENCES product_part (gtin, piece)
)
 STRICT

;
CREATE TABLE sample_waiver (
	sample TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_sample_waiver PRIMARY KEY (sample), 
	CONSTRAINT fk_sample_waiver_sample FOREIGN KEY(sample) REFERENCES sample (code)
)
 STRICT

;
CREATE TABLE rejected_strokes (
	seq INTEGER NOT NULL, 
	lot TEXT NOT NULL, 
	first INTEGER NOT NULL, 
	last INTEGER NOT NULL, 
	CONSTRAINT pk_rejected_strokes PRIMARY KEY (seq), 
	CONSTRAINT fk_rejected_strokes_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 STRICT

;
CREATE TABLE sorting (
	seq INTEGER NOT NULL, 
	lot TEXT NOT NULL, 
	spindle TEXT NOT NULL, 
	looked_at INTEGER NOT NULL, 
	bad INTEGER NOT NULL, 
	defect TEXT NOT NULL, 
	CONSTRAINT pk_sorting PRIMARY KEY (seq), 
	CONSTRAINT fk_sorting_lot FOREIGN KEY(lot) REFERENCES lot (code), 
	CONSTRAINT fk_sorting_spindle FOREIGN KEY(spindle) REFERENCES spindle (code)
)
 STRICT

;
CREATE TABLE slow_test (
	name TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_slow_test PRIMARY KEY (name)
)
 STRICT

;
CREATE TABLE slow_test_reading (
	slow_test TEXT NOT NULL, 
	line INTEGER NOT NULL, 
	label TEXT NOT NULL, 
	days INTEGER NOT NULL, 
	CONSTRAINT pk_slow_test_reading PRIMARY KEY (slow_test, line), 
	CONSTRAINT fk_slow_test_reading_slow_test FOREIGN KEY(slow_test) REFERENCES slow_test (name)
)
 STRICT

;
CREATE TABLE slow_reading (
	sample TEXT NOT NULL, 
	line INTEGER NOT NULL, 
	slow_test TEXT NOT NULL, 
	label TEXT NOT NULL, 
	due TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	taken_seq INTEGER, 
	CONSTRAINT pk_slow_reading PRIMARY KEY (sample, line), 
	CONSTRAINT fk_slow_reading_sample FOREIGN KEY(sample) REFERENCES sample (code), 
	CONSTRAINT fk_slow_reading_slow_test FOREIGN KEY(slow_test) REFERENCES slow_test (name)
)
 STRICT

;
CREATE INDEX ix_rejected_strokes_lot ON rejected_strokes (lot);
CREATE INDEX ix_sorting_lot ON sorting (lot);
CREATE INDEX ix_slow_reading_due ON slow_reading (due);
CREATE TABLE sampling_plan (
	seq INTEGER NOT NULL, 
	gtin TEXT NOT NULL, 
	aql TEXT, 
	level TEXT NOT NULL, 
	severity TEXT NOT NULL, 
	detect TEXT, 
	confidence INTEGER NOT NULL, 
	one_in INTEGER, 
	since TEXT NOT NULL, inspection TEXT, 
	CONSTRAINT pk_sampling_plan PRIMARY KEY (seq), 
	CONSTRAINT fk_sampling_plan_gtin FOREIGN KEY(gtin) REFERENCES product (gtin)
)
 STRICT

;
CREATE INDEX ix_sampling_plan_gtin ON sampling_plan (gtin);
CREATE TABLE missed_disc (
	lot TEXT NOT NULL, 
	stroke INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_missed_disc PRIMARY KEY (lot, stroke), 
	CONSTRAINT fk_missed_disc_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 STRICT

;
CREATE TABLE sampling_plan_defect (
	seq INTEGER NOT NULL, 
	defect TEXT NOT NULL, 
	CONSTRAINT pk_sampling_plan_defect PRIMARY KEY (seq, defect), 
	CONSTRAINT fk_sampling_plan_defect_seq FOREIGN KEY(seq) REFERENCES sampling_plan (seq)
)
 STRICT

;
CREATE TABLE entry_count (
	kind TEXT NOT NULL, 
	entries INTEGER NOT NULL, 
	CONSTRAINT pk_entry_count PRIMARY KEY (kind)
)
 WITHOUT ROWID,
 STRICT

;
CREATE TABLE odd_time (
	seq INTEGER NOT NULL, 
	late_s INTEGER NOT NULL, 
	step_s INTEGER NOT NULL, 
	CONSTRAINT pk_odd_time PRIMARY KEY (seq)
)
 STRICT

;
CREATE INDEX ix_finding_finding ON finding (finding);
CREATE TABLE "station" (
	code TEXT NOT NULL, 
	area TEXT NOT NULL, 
	name TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	last_number INTEGER DEFAULT 0 NOT NULL, 
	desk TEXT DEFAULT '{}' NOT NULL, 
	CONSTRAINT pk_station PRIMARY KEY (code), 
	CONSTRAINT ck_station_area_known CHECK (area IN ('tool', 'press', 'lab', 'line', 'dock', 'process', 'assembly'))
)
 STRICT

;
CREATE TABLE "reason" (
	code TEXT NOT NULL, 
	area TEXT NOT NULL, 
	text TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_reason PRIMARY KEY (code), 
	CONSTRAINT ck_reason_area_known CHECK (area IN ('tool', 'press', 'lab', 'line', 'dock', 'process', 'assembly'))
)
 STRICT

;
CREATE TABLE part_kind (
	number TEXT NOT NULL, 
	what TEXT NOT NULL, 
	sample INTEGER, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_part_kind PRIMARY KEY (number)
)
 STRICT

;
CREATE TABLE bill (
	part TEXT NOT NULL, 
	version TEXT NOT NULL, 
	since TEXT NOT NULL, 
	gtin TEXT, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_bill PRIMARY KEY (part, version), 
	CONSTRAINT fk_bill_gtin FOREIGN KEY(gtin) REFERENCES product (gtin), 
	CONSTRAINT fk_bill_part FOREIGN KEY(part) REFERENCES part_kind (number)
)
 STRICT

;
CREATE TABLE bill_line (
	item TEXT NOT NULL, 
	version TEXT NOT NULL, 
	line INTEGER NOT NULL, 
	part TEXT NOT NULL, 
	revision TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	slot TEXT, 
	CONSTRAINT pk_bill_line PRIMARY KEY (item, version, line), 
	CONSTRAINT fk_bill_line_item_version FOREIGN KEY(item, version) REFERENCES bill (part, version), 
	CONSTRAINT fk_bill_line_part FOREIGN KEY(part) REFERENCES part_kind (number)
)
 STRICT

;
CREATE TABLE slot (
	code TEXT NOT NULL, 
	station TEXT NOT NULL, 
	what TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_slot PRIMARY KEY (code), 
	CONSTRAINT fk_slot_station FOREIGN KEY(station) REFERENCES station (code)
)
 STRICT

;
CREATE TABLE part_lot (
	code TEXT NOT NULL, 
	part TEXT NOT NULL, 
	revision TEXT NOT NULL, 
	supplier_lot TEXT NOT NULL, 
	date_code TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	status TEXT NOT NULL, 
	tested INTEGER NOT NULL, 
	failed INTEGER NOT NULL, 
	taken INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_part_lot PRIMARY KEY (code), 
	CONSTRAINT ck_part_lot_takes_no_more_than_came CHECK (taken + failed <= quantity), 
	CONSTRAINT ck_part_lot_status_known CHECK (status IN ('in quarantine', 'accepted', 'rejected')), 
	CONSTRAINT fk_part_lot_part FOREIGN KEY(part) REFERENCES part_kind (number)
)
 STRICT

;
CREATE TABLE reel (
	code TEXT NOT NULL, 
	part TEXT NOT NULL, 
	revision TEXT NOT NULL, 
	in_order INTEGER NOT NULL, 
	holds INTEGER NOT NULL, 
	used INTEGER NOT NULL, 
	dropping INTEGER NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_reel PRIMARY KEY (code), 
	CONSTRAINT ck_reel_gives_no_more_than_it_has CHECK (used + dropping <= holds), 
	CONSTRAINT fk_reel_part FOREIGN KEY(part) REFERENCES part_kind (number)
)
 STRICT

;
CREATE TABLE reel_item (
	reel TEXT NOT NULL, 
	first INTEGER NOT NULL, 
	last INTEGER NOT NULL, 
	part_lot TEXT NOT NULL, 
	at TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_reel_item PRIMARY KEY (reel, first), 
	CONSTRAINT ck_reel_item_range_in_order CHECK (first >= 1 AND last >= first), 
	CONSTRAINT fk_reel_item_part_lot FOREIGN KEY(part_lot) REFERENCES part_lot (code), 
	CONSTRAINT fk_reel_item_reel FOREIGN KEY(reel) REFERENCES reel (code)
)
 STRICT

;
CREATE TABLE reel_count (
	seq INTEGER NOT NULL, 
	reel TEXT NOT NULL, 
	shown INTEGER NOT NULL, 
	counted INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_reel_count PRIMARY KEY (seq), 
	CONSTRAINT fk_reel_count_reel FOREIGN KEY(reel) REFERENCES reel (code)
)
 STRICT

;
CREATE TABLE build (
	code TEXT NOT NULL, 
	part TEXT NOT NULL, 
	version TEXT NOT NULL, 
	first_serial INTEGER NOT NULL, 
	quantity INTEGER NOT NULL, 
	panel INTEGER NOT NULL, 
	at TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_build PRIMARY KEY (code), 
	CONSTRAINT ck_build_counts_positive CHECK (quantity >= 1 AND panel >= 1 AND first_serial >= 1), 
	CONSTRAINT fk_build_part FOREIGN KEY(part) REFERENCES part_kind (number), 
	CONSTRAINT fk_build_part_version FOREIGN KEY(part, version) REFERENCES bill (part, version)
)
 STRICT

;
CREATE TABLE machine_run (
	seq INTEGER NOT NULL, 
	station TEXT NOT NULL, 
	build TEXT NOT NULL, 
	done INTEGER NOT NULL, 
	stopped INTEGER NOT NULL, 
	ended_seq INTEGER, 
	CONSTRAINT pk_machine_run PRIMARY KEY (seq), 
	CONSTRAINT fk_machine_run_build FOREIGN KEY(build) REFERENCES build (code), 
	CONSTRAINT fk_machine_run_station FOREIGN KEY(station) REFERENCES station (code)
)
 STRICT

;
CREATE TABLE slot_load (
	seq INTEGER NOT NULL, 
	run INTEGER NOT NULL, 
	slot TEXT NOT NULL, 
	reel TEXT NOT NULL, 
	checked INTEGER NOT NULL, 
	out_seq INTEGER, 
	CONSTRAINT pk_slot_load PRIMARY KEY (seq), 
	CONSTRAINT fk_slot_load_reel FOREIGN KEY(reel) REFERENCES reel (code), 
	CONSTRAINT fk_slot_load_run FOREIGN KEY(run) REFERENCES machine_run (seq), 
	CONSTRAINT fk_slot_load_slot FOREIGN KEY(slot) REFERENCES slot (code)
)
 STRICT

;
CREATE TABLE wrong_reel (
	seq INTEGER NOT NULL, 
	reel TEXT NOT NULL, 
	build TEXT NOT NULL, 
	first INTEGER NOT NULL, 
	last INTEGER NOT NULL, 
	CONSTRAINT pk_wrong_reel PRIMARY KEY (seq), 
	CONSTRAINT fk_wrong_reel_build FOREIGN KEY(build) REFERENCES build (code), 
	CONSTRAINT fk_wrong_reel_reel FOREIGN KEY(reel) REFERENCES reel (code)
)
 STRICT

;
CREATE TABLE part_move (
	seq INTEGER NOT NULL, 
	line INTEGER NOT NULL, 
	reel TEXT NOT NULL, 
	quantity INTEGER NOT NULL, 
	source TEXT NOT NULL, 
	target TEXT NOT NULL, 
	first INTEGER, 
	last INTEGER, 
	at TEXT NOT NULL, 
	build TEXT, 
	from_piece INTEGER, 
	to_piece INTEGER, 
	per_piece INTEGER, 
	lead INTEGER, 
	CONSTRAINT pk_part_move PRIMARY KEY (seq, line), 
	CONSTRAINT ck_part_move_quantity_positive CHECK (quantity >= 1), 
	CONSTRAINT fk_part_move_build FOREIGN KEY(build) REFERENCES build (code), 
	CONSTRAINT fk_part_move_reel FOREIGN KEY(reel) REFERENCES reel (code)
)
 STRICT

;
CREATE TABLE piece_test (
	seq INTEGER NOT NULL, 
	piece TEXT NOT NULL, 
	part TEXT NOT NULL, 
	station TEXT, 
	programme TEXT NOT NULL, 
	passed INTEGER NOT NULL, 
	symptom TEXT, 
	position TEXT, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_piece_test PRIMARY KEY (seq), 
	CONSTRAINT fk_piece_test_piece FOREIGN KEY(piece) REFERENCES piece (code)
)
 STRICT

;
CREATE TABLE taken_out (
	seq INTEGER NOT NULL, 
	unit TEXT NOT NULL, 
	piece TEXT, 
	reel TEXT, 
	went_to TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_taken_out PRIMARY KEY (seq), 
	CONSTRAINT ck_taken_out_went_to_known CHECK (went_to IN ('scrap', 'supplier', 'retest')), 
	CONSTRAINT fk_taken_out_piece FOREIGN KEY(piece) REFERENCES piece (code), 
	CONSTRAINT fk_taken_out_reel FOREIGN KEY(reel) REFERENCES reel (code), 
	CONSTRAINT fk_taken_out_unit FOREIGN KEY(unit) REFERENCES piece (code)
)
 STRICT

;
CREATE INDEX ix_reel_item_part_lot ON reel_item (part_lot);
CREATE INDEX ix_build_first_serial ON build (first_serial);
CREATE UNIQUE INDEX uq_machine_run_open ON machine_run (station) WHERE ended_seq IS NULL;
CREATE INDEX ix_slot_load_run ON slot_load (run);
CREATE UNIQUE INDEX uq_slot_load_reel ON slot_load (reel) WHERE out_seq IS NULL;
CREATE INDEX ix_wrong_reel_reel ON wrong_reel (reel);
CREATE INDEX ix_part_move_build ON part_move (build, to_piece);
CREATE INDEX ix_part_move_reel ON part_move (reel);
CREATE INDEX ix_part_move_target ON part_move (target);
CREATE INDEX ix_piece_test_part ON piece_test (part, seq);
CREATE INDEX ix_piece_test_piece ON piece_test (piece);
CREATE INDEX ix_taken_out_piece ON taken_out (piece);
CREATE INDEX ix_taken_out_unit ON taken_out (unit);
CREATE TABLE compared_verdict (
	seq INTEGER NOT NULL, 
	sample TEXT NOT NULL, 
	person TEXT NOT NULL, 
	verdict TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_compared_verdict PRIMARY KEY (seq), 
	CONSTRAINT fk_compared_verdict_sample FOREIGN KEY(sample) REFERENCES sample (code)
)
 STRICT

;
CREATE INDEX ix_compared_verdict_sample ON compared_verdict (sample);
CREATE TABLE study_reading (
	seq INTEGER NOT NULL, 
	sample TEXT NOT NULL, 
	test TEXT NOT NULL, 
	side TEXT, 
	gauge TEXT NOT NULL, 
	person TEXT NOT NULL, 
	value TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_study_reading PRIMARY KEY (seq), 
	CONSTRAINT fk_study_reading_sample FOREIGN KEY(sample) REFERENCES sample (code), 
	CONSTRAINT fk_study_reading_test FOREIGN KEY(test) REFERENCES lab_test (name), 
	CONSTRAINT fk_study_reading_gauge FOREIGN KEY(gauge) REFERENCES gauge (code)
)
 STRICT

;
CREATE INDEX ix_study_reading_gauge ON study_reading (gauge);
CREATE TABLE place_sorting (
	seq INTEGER NOT NULL, 
	lot TEXT NOT NULL, 
	place TEXT NOT NULL, 
	looked_at INTEGER NOT NULL, 
	bad INTEGER NOT NULL, 
	defect TEXT NOT NULL, 
	CONSTRAINT pk_place_sorting PRIMARY KEY (seq), 
	CONSTRAINT fk_place_sorting_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 STRICT

;
CREATE INDEX ix_place_sorting_lot ON place_sorting (lot);
CREATE TABLE "process" (
	name TEXT NOT NULL, 
	works_on TEXT NOT NULL, 
	unit TEXT, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_process PRIMARY KEY (name), 
	CONSTRAINT ck_process_works_on_known CHECK (works_on IN ('discs', 'tools', 'pieces', 'material', 'blend'))
)
 STRICT

;
CREATE INDEX ix_piece_test_at ON piece_test (at);
CREATE TABLE "journal" (
	seq INTEGER NOT NULL, 
	hash BLOB NOT NULL, 
	kind TEXT NOT NULL, 
	stored BLOB NOT NULL, 
	CONSTRAINT pk_journal PRIMARY KEY (seq)
)
 STRICT

;
CREATE TABLE "carton" (
	sscc TEXT NOT NULL, 
	gtin TEXT NOT NULL, 
	status TEXT NOT NULL, 
	units INTEGER NOT NULL, 
	station TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_carton PRIMARY KEY (sscc), 
	CONSTRAINT fk_carton_gtin FOREIGN KEY(gtin) REFERENCES product (gtin), 
	CONSTRAINT fk_carton_station FOREIGN KEY(station) REFERENCES station (code), 
	CONSTRAINT ck_carton_status_known CHECK (status IN ('open', 'closed', 'broken', 'returned', 'destroyed'))
)
 WITHOUT ROWID, STRICT

;
CREATE TABLE "spindle" (
	code TEXT NOT NULL, 
	lot TEXT NOT NULL, 
	at TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_spindle PRIMARY KEY (code), 
	CONSTRAINT fk_spindle_lot FOREIGN KEY(lot) REFERENCES lot (code)
)
 WITHOUT ROWID, STRICT

;
CREATE INDEX ix_spindle_lot ON spindle (lot, seq);
CREATE TABLE "sample" (
	code TEXT NOT NULL, 
	lot TEXT NOT NULL, 
	stroke INTEGER, 
	at TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_sample PRIMARY KEY (code)
)
 STRICT

;
CREATE UNIQUE INDEX uq_sample_lot_stroke ON sample (lot, stroke);
CREATE TRIGGER sample_in_lot BEFORE INSERT ON sample WHEN NEW.stroke < 1 OR NEW.stroke > (SELECT l.counter FROM lot l WHERE l.code = NEW.lot) BEGIN SELECT RAISE(ABORT, 'a sample''s stroke must be one of its lot'); END;
CREATE TRIGGER sample_in_build BEFORE INSERT ON sample WHEN NOT EXISTS (SELECT 1 FROM lot l WHERE l.code = NEW.lot) AND NOT EXISTS (SELECT 1 FROM build b WHERE b.code = NEW.lot AND NEW.stroke <= b.quantity) BEGIN SELECT RAISE(ABORT, 'a sample is of a lot, or a piece of a build order'); END;
CREATE TABLE entry_block (
	name TEXT NOT NULL, 
	block INTEGER NOT NULL, 
	CONSTRAINT pk_entry_block PRIMARY KEY (name, block)
)
 WITHOUT ROWID,
 STRICT

;
CREATE TABLE "drill" (
	seq INTEGER NOT NULL, 
	seed INTEGER NOT NULL, 
	what TEXT NOT NULL, 
	subject TEXT NOT NULL, 
	back_ms INTEGER NOT NULL, 
	forward_ms INTEGER NOT NULL, 
	contain_ms INTEGER NOT NULL, 
	balance_ms INTEGER NOT NULL, 
	gaps INTEGER NOT NULL, 
	difference INTEGER NOT NULL, 
	lots_off INTEGER NOT NULL, 
	limit_minutes INTEGER NOT NULL, 
	CONSTRAINT pk_drill PRIMARY KEY (seq), 
	CONSTRAINT ck_drill_what_known CHECK (what IN ('carton', 'stamper', 'reel', 'part-lot', 'bath', 'blend'))
)
 STRICT

;
CREATE INDEX ix_drill_subject ON drill (subject);
CREATE TABLE "piece" (
	code TEXT NOT NULL, 
	build TEXT NOT NULL, 
	number INTEGER NOT NULL, 
	status TEXT NOT NULL, 
	seq INTEGER NOT NULL, 
	CONSTRAINT pk_piece PRIMARY KEY (code), 
	CONSTRAINT fk_piece_build FOREIGN KEY(build) REFERENCES build (code), 
	CONSTRAINT ck_piece_status_known CHECK (status IN ('built', 'failed', 'passed', 'returned'))
)
 STRICT

;
CREATE UNIQUE INDEX ix_piece_build ON piece (build, number);
CREATE TABLE unit_return (
	seq INTEGER NOT NULL, 
	piece TEXT NOT NULL, 
	carton TEXT NOT NULL, 
	at TEXT NOT NULL, 
	CONSTRAINT pk_unit_return PRIMARY KEY (seq), 
	CONSTRAINT fk_unit_return_piece FOREIGN KEY(piece) REFERENCES piece (code), 
	CONSTRAINT fk_unit_return_carton FOREIGN KEY(carton) REFERENCES carton (sscc)
)
 STRICT

;
CREATE INDEX ix_unit_return_piece ON unit_return (piece);
CREATE TRIGGER journal_in_order BEFORE INSERT ON journal WHEN NEW.seq <> (SELECT COALESCE(MAX(j.seq), 0) + 1 FROM journal j) BEGIN SELECT RAISE(ABORT, 'the journal is append-only: an entry must be the next one'); END;
CREATE TRIGGER journal_no_update BEFORE UPDATE ON journal WHEN 1 = 1 BEGIN SELECT RAISE(ABORT, 'the journal is append-only: no entry is edited'); END;
CREATE TRIGGER journal_no_delete BEFORE DELETE ON journal WHEN 1 = 1 BEGIN SELECT RAISE(ABORT, 'the journal is append-only: no entry is deleted'); END;
CREATE TRIGGER journal_pack_once BEFORE INSERT ON journal_pack WHEN EXISTS (SELECT 1 FROM journal_pack p WHERE p.seq = NEW.seq) BEGIN SELECT RAISE(ABORT, 'raw scans are append-only: this entry has its scans'); END;
CREATE TRIGGER journal_pack_no_update BEFORE UPDATE ON journal_pack WHEN 1 = 1 BEGIN SELECT RAISE(ABORT, 'raw scans are append-only: none is edited'); END;
CREATE TRIGGER journal_pack_no_delete BEFORE DELETE ON journal_pack WHEN 1 = 1 BEGIN SELECT RAISE(ABORT, 'raw scans are append-only: none is deleted'); END;
CREATE TABLE "nesting" (
	child TEXT NOT NULL, 
	opened_seq INTEGER NOT NULL, 
	parent TEXT NOT NULL, 
	closed_seq INTEGER, 
	CONSTRAINT pk_nesting PRIMARY KEY (child, opened_seq), 
	CONSTRAINT ck_nesting_not_in_itself CHECK (child <> parent)
)
 WITHOUT ROWID, STRICT

;
CREATE UNIQUE INDEX uq_nesting_open_parent ON nesting (child) WHERE closed_seq IS NULL;
CREATE INDEX ix_nesting_parent_opened_seq ON nesting (parent, opened_seq);
