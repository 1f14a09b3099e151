BEGIN TRANSACTION;
CREATE TABLE access_log (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	at VARCHAR(40) NOT NULL, 
	who TEXT NOT NULL, 
	what TEXT NOT NULL, 
	case_id INTEGER, 
	why TEXT NOT NULL
);
INSERT INTO "access_log" VALUES(1,'2026-11-26T06:58:44.494689+00:00','A. Operator','added A. Operator: operator keeper',NULL,'');
INSERT INTO "access_log" VALUES(2,'2026-11-26T06:58:44.505528+00:00','A. Operator','made the case',1,'');
INSERT INTO "access_log" VALUES(3,'2026-11-26T06:58:44.515789+00:00','extractor','drafted the case',1,'');
INSERT INTO "access_log" VALUES(4,'2026-11-26T06:58:44.603230+00:00','A. Operator','revision 1: e0003 pressure 14 atm → 16 atm',1,'');
INSERT INTO "access_log" VALUES(5,'2026-11-26T06:58:44.607121+00:00','B. Operator','revision 2: e0003 pressure 16 atm → 18 atm',1,'');
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE attempts (
	whose TEXT NOT NULL, 
	failed INTEGER NOT NULL, 
	last_at VARCHAR(40) NOT NULL, 
	refused_until VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_attempts PRIMARY KEY (whose)
);
CREATE TABLE cases (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	title TEXT NOT NULL, 
	state VARCHAR(16) NOT NULL, 
	created_at VARCHAR(40) NOT NULL, 
	created_by TEXT NOT NULL, 
	updated_at VARCHAR(40) NOT NULL, 
	head INTEGER NOT NULL, 
	head_sha256 VARCHAR(64) NOT NULL, 
	waits INTEGER NOT NULL, 
	events INTEGER NOT NULL, 
	signed_by TEXT, 
	error TEXT, 
	done_s FLOAT, 
	total_s FLOAT, 
	claimed_by TEXT, 
	claimed_until VARCHAR(40), 
	hidden_at VARCHAR(40), 
	hidden_by TEXT, 
	hidden_why TEXT
);
INSERT INTO "cases" VALUES(1,'A case','draft','2026-11-26T06:58:44.505528+00:00','A. Operator','2026-11-26T06:58:44.606866+00:00',2,'2329f6eec228106de8846749c2138940c618d6ee826a32bf22bbcd0a9f18919c',3,6,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL,NULL);
CREATE TABLE files (
	id INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT, 
	case_id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	kind VARCHAR(16) NOT NULL, 
	position INTEGER NOT NULL, 
	sha256 VARCHAR(64) NOT NULL, 
	size BIGINT NOT NULL, 
	added_at VARCHAR(40) NOT NULL, 
	added_by TEXT NOT NULL, 
	hidden_at VARCHAR(40), 
	hidden_by TEXT, 
	CONSTRAINT fk_files_case_id FOREIGN KEY(case_id) REFERENCES cases (id)
);
CREATE TABLE particulars (
	case_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	text TEXT NOT NULL, 
	set_at VARCHAR(40) NOT NULL, 
	set_by TEXT NOT NULL, 
	CONSTRAINT pk_particulars PRIMARY KEY (case_id, number), 
	CONSTRAINT fk_particulars_case_id FOREIGN KEY(case_id) REFERENCES cases (id)
);
CREATE TABLE people (
	"key" TEXT NOT NULL, 
	name TEXT NOT NULL, 
	roles TEXT NOT NULL, 
	password TEXT, 
	added_at VARCHAR(40) NOT NULL, 
	disabled BOOLEAN NOT NULL, 
	CONSTRAINT pk_people PRIMARY KEY ("key")
);
INSERT INTO "people" VALUES('a. operator','A. Operator','operator keeper','$argon2id$v=19$m=65536,t=3,p=4$IadaGn9JDV9IuxqpnxXsww$hhO8LZOTYUB4EziKDaP8LZ+cOLp0kjmUU60SPpS/j9Q','2026-11-26T06:58:44.494689+00:00',0);
CREATE TABLE revisions (
	case_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	text TEXT NOT NULL, 
	copy BLOB NOT NULL, 
	sha256 VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_revisions PRIMARY KEY (case_id, number), 
	CONSTRAINT fk_revisions_case_id FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "revisions" VALUES(1,1,'{"number":1,"at":"2026-11-26T06:58:44.516727+00:00","by":"A. Operator","what":"e0003 pressure 14 atm → 16 atm","why":"","changes":[{"at":"events.e0003.values.pressure.value","before":14.0,"after":16.0},{"at":"events.e0003.values.pressure.confidence","before":0.7,"after":1.0},{"at":"events.e0003.values.pressure.review","before":true,"after":false},{"at":"events.e0003.values.pressure.flags","before":[],"after":["set-by-hand"]},{"at":"events.e0003.values.pressure.alternatives","before":[{"value":40.0,"unit":null,"log_ratio":-2.1}],"after":[{"value":14.0,"unit":null,"log_ratio":null},{"value":40.0,"unit":null,"log_ratio":null}]}]}',X'78018D91416E83301045AF82665BB0C69440E55D4ED04D770855860C04C931916D88A2886D0FD023F62435A0123695D88DAD99375F6F1EA0FB4B4906040F413A1010639C469C4771FA81A938BC892461079E6671F68228102184F2EEFB8E2C78BF9291AE33FEEB769E8709115F83AB216B7B43014F02E92EC1CFD777C0D3A99C3BA7695F5467A91BB220F2C7B29906D2CEB299C106A97AB2EC0FB5BCA7DD5477867CDC84A14F5CBB397BCA700CF760AA4ED7ED8974451B16B2EC89DA4B3234B474DB509CE969C5D45259DA17A956B2B11B4E5EAC941C2CB9A8BC475ED5098A7D3CA9BC132D5D3B78B94F61DEF2EC14448293BA5EB7FEDCBA572A04D5359FFE926D07228A191F3709D6A945F83F5313664AB767C3DC5B8CC5F80BD38CCDB4','dd5f933f6f4ff95b64f8b271ef972efe6612489867686df030b487db5e2b306b');
INSERT INTO "revisions" VALUES(1,2,'{"number":2,"at":"2026-11-26T06:58:44.605548+00:00","by":"B. Operator","what":"e0003 pressure 16 atm → 18 atm","why":"","changes":[{"at":"events.e0003.values.pressure.value","before":16.0,"after":18.0},{"at":"events.e0003.values.pressure.alternatives","before":[{"value":14.0,"unit":null,"log_ratio":null},{"value":40.0,"unit":null,"log_ratio":null}],"after":[{"value":16.0,"unit":null,"log_ratio":null},{"value":14.0,"unit":null,"log_ratio":null},{"value":40.0,"unit":null,"log_ratio":null}]}]}',X'7801AD903B6EC3301044AF42B08D4C2C158A1058FA0269D2194640076B5B004D19FCC8080CB539408E98936449E5D7C545BAE56266DE2CAFDCE7D30E03376DC36DE286B7D0EA9594AB563F82365D6F94121ABA4EF577000680377CF742BAB5600F670C368D81569763352300DCB373C01873402635B3E9C4DE5FDF98ECCB5895C54DC3F3D1FA03466E36D7858C13FA1445CD10937519A3F88A5ADE858DFB312037520BA0C6FB54BACB5EC0DCDC12631D19BC4DC344E49F34AA508114A54A6EF603FD85CFCE35DC8D87273A73189745E17C6A15FCA5DD7E57FC45A8CD6F23FC739B793B7F00799A9FB3','2329f6eec228106de8846749c2138940c618d6ee826a32bf22bbcd0a9f18919c');
CREATE TABLE sessions (
	token_sha256 VARCHAR(64) NOT NULL, 
	person TEXT NOT NULL, 
	begun_at VARCHAR(40) NOT NULL, 
	ends_at VARCHAR(40) NOT NULL, 
	CONSTRAINT pk_sessions PRIMARY KEY (token_sha256), 
	CONSTRAINT fk_sessions_person FOREIGN KEY(person) REFERENCES people ("key")
);
CREATE TABLE signatures (
	case_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	head INTEGER NOT NULL, 
	text TEXT NOT NULL, 
	sha256 VARCHAR(64) NOT NULL, 
	signed_at VARCHAR(40) NOT NULL, 
	signed_by TEXT NOT NULL, 
	CONSTRAINT pk_signatures PRIMARY KEY (case_id, number), 
	CONSTRAINT fk_signatures_case_id FOREIGN KEY(case_id) REFERENCES cases (id)
);
CREATE TABLE snapshots (
	case_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	text TEXT NOT NULL, 
	copy BLOB NOT NULL, 
	sha256 VARCHAR(64) NOT NULL, 
	CONSTRAINT pk_snapshots PRIMARY KEY (case_id, number), 
	CONSTRAINT fk_snapshots_case_id FOREIGN KEY(case_id) REFERENCES cases (id)
);
INSERT INTO "snapshots" VALUES(1,0,'{"format":"procedure-timeline/1","state":"draft","recording":{"sha256":"abababababababababababababababababababababababababababababababab","duration_ms":11000,"recorded_at":null,"parts":[{"name":"note-1.opus","sha256":"abababababababababababababababababababababababababababababababab","offset_ms":0,"duration_ms":11000}]},"made_by":{"extractor":"0.0.0","speech_model":{"name":"base","sha256":"cdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcdcd"},"lexicons":{},"opinions":[],"site":{}},"words":[{"text":"Access","start_ms":0,"end_ms":350,"probability":0.9},{"text":"right","start_ms":400,"end_ms":750,"probability":0.9},{"text":"groin.","start_ms":800,"end_ms":1150,"probability":0.9},{"text":"Pepper","start_ms":1200,"end_ms":1550,"probability":0.9},{"text":"and","start_ms":1600,"end_ms":1950,"probability":0.9},{"text":"given.","start_ms":2000,"end_ms":2350,"probability":0.9},{"text":"Now","start_ms":2400,"end_ms":2750,"probability":0.9},{"text":"the","start_ms":2800,"end_ms":3150,"probability":0.9},{"text":"six","start_ms":3200,"end_ms":3550,"probability":0.9},{"text":"by","start_ms":3600,"end_ms":3950,"probability":0.9},{"text":"eighty,","start_ms":4000,"end_ms":4350,"probability":0.9},{"text":"going","start_ms":4400,"end_ms":4750,"probability":0.9},{"text":"up","start_ms":4800,"end_ms":5150,"probability":0.9},{"text":"to","start_ms":5200,"end_ms":5550,"probability":0.9},{"text":"fourteen","start_ms":5600,"end_ms":5950,"probability":0.9},{"text":"atmospheres.","start_ms":6000,"end_ms":6350,"probability":0.9},{"text":"No","start_ms":6400,"end_ms":6750,"probability":0.9},{"text":"dissection.","start_ms":6800,"end_ms":7150,"probability":0.9},{"text":"Maybe","start_ms":7200,"end_ms":7550,"probability":0.9},{"text":"a","start_ms":7600,"end_ms":7950,"probability":0.9},{"text":"stent","start_ms":8000,"end_ms":8350,"probability":0.9},{"text":"later.","start_ms":8400,"end_ms":8750,"probability":0.9},{"text":"Contrast","start_ms":8800,"end_ms":9150,"probability":0.9},{"text":"eighty","start_ms":9200,"end_ms":9550,"probability":0.9},{"text":"five","start_ms":9600,"end_ms":9950,"probability":0.9},{"text":"mils.","start_ms":10000,"end_ms":10350,"probability":0.9}],"corrections":[{"words":[3,5],"heard":"Pepper and","read":"heparin","why":"sounds-alike","audio_cost":1.4,"review":false},{"words":[22,23],"heard":"Contrast","read":"contact","why":"sounds-alike","audio_cost":null,"review":true}],"events":[{"id":"e0001","kind":"access","status":"done","start_ms":0,"end_ms":1150,"device":null,"drug":null,"finding":null,"site":{"name":"groin","side":"right","part":null},"values":{},"confidence":0.9,"review":false,"flags":[],"words":[0,3],"rule":"access/by-hand"},{"id":"e0002","kind":"drug","status":"done","start_ms":1200,"end_ms":2350,"device":null,"drug":"heparin","finding":null,"site":null,"values":{},"confidence":0.9,"review":false,"flags":[],"words":[3,6],"rule":"drug/by-hand"},{"id":"e0003","kind":"inflation","status":"done","start_ms":2400,"end_ms":6350,"device":"balloon","drug":null,"finding":null,"site":{"name":"superficial femoral artery","side":"right","part":"mid"},"values":{"diameter":{"value":6.0,"unit":"mm","confidence":0.95,"review":false,"flags":["carried-over"],"heard":"","words":[8,9],"alternatives":[]},"length":{"value":80.0,"unit":"mm","confidence":0.95,"review":false,"flags":["carried-over"],"heard":"","words":[10,11],"alternatives":[]},"pressure":{"value":14.0,"unit":"atm","confidence":0.7,"review":true,"flags":[],"heard":"fourteen atmospheres","words":[14,16],"alternatives":[{"value":40.0,"unit":null,"log_ratio":-2.1}]}},"confidence":0.9,"review":false,"flags":[],"words":[6,16],"rule":"inflation/by-hand"},{"id":"e0004","kind":"finding","status":"negated","start_ms":6400,"end_ms":7150,"device":null,"drug":null,"finding":"dissection","site":null,"values":{},"confidence":0.9,"review":false,"flags":[],"words":[16,18],"rule":"finding/by-hand"},{"id":"e0005","kind":"stent","status":"considered","start_ms":7200,"end_ms":8750,"device":"stent","drug":null,"finding":null,"site":null,"values":{},"confidence":0.9,"review":false,"flags":[],"words":[18,22],"rule":"stent/by-hand"},{"id":"e0006","kind":"total","status":"done","start_ms":8800,"end_ms":10350,"device":null,"drug":null,"finding":null,"site":null,"values":{"contrast_volume":{"value":85.0,"unit":"mL","confidence":0.97,"review":false,"flags":[],"heard":"","words":[23,26],"alternatives":[]}},"confidence":0.9,"review":false,"flags":[],"words":[22,26],"rule":"total/by-hand"}],"checks":[{"code":"never-removed","severity":"review","message":"The wire was never said to come out.","events":[]}],"gaps":[{"start_ms":7150,"end_ms":7190,"why":"Speech-like sound.","recorded":true}],"revisions":[]}',X'7801B5985D6FEA381086FF0ACA75E090F0CDDD6A6F778F56DABD3BAA90491C62358991E3D05688FFBEEFC4186C9A1E1F6DBB426A8160CFCC33E399373947855435D3D1363A2A99F1BC537CAC45CD2BD1F06F491447AD669AE372AE58A1F159F14CAA5C3487687B8EDA92A58B25AEB2FDE75ED818A69916B2D9D56DB44D92E9746A8DF17C471E365D55C5D191298D1FFC38470DABC9B1466A3E4E26F2D8B5E4EE177A248BA2E5BAF707BEBCF7EFF27489A39AE57CB77F231AFC552B9669A9E0D5748217F973E43C2B77B5CC7945BFB93ABD672D77BDCDF2CFBD227852F15791C90670CEF8248FA2014D42F504370425F17CC18517A4CF00D47018AEFE9665BCEDD969B0B5E1F226EFDFCE16881DB581048B4A68043A9D6C2EF139BAAE56E250525DA04EAE8BE79439BB7C15587E505234136FFDDA5D9F24810DFEE2C72357DE0649EAEDB008ECC09ADC5FBEF4966F02CB0FE2C41F22807D07411A42F85DBE780EA41EC1348450977D29DDF8A71EC05908602B5E3DEB338FDE2C440FA5EF267FE6C19B85E071AA9EB7D8DB02D13BF4E6217A0714D0C1DFC0E3370FF1EB8EFE6A0FDF22844F4B6FF5C2A3B708D12B64A734E78DBF87C7701162C8742DDB63C9156FFD83846D1C90CB10C8EF7E244B8FE2324431176DCB336AE00F4E783857219C7FB2B7BD5FCE2B8FE82A44947928571ECA550865AB79E3373378EF305C8718561896CA07B0F638AE431C7F970DA648FBE08507711382684E950762E351DC842816686AFE7A0FE42604B216D54331D240774826D361949855D01710195449664CD981358B17B85A72A6724C2DD3F747A6792BCEE8BB92431D083A4C2F250655D4CAAEC9DB31ABC43345C3BA5CC85D2601779B4CE6242F4E82BF44DB82552DA799664DA5699CCE1C634E52AEA630683566FDAF9832BAC5DAD2AAE3176CCD3135AE424690EF1C78486F3D0B8C23082A67286B281B0830D9F8297169F61591239C0C63DE18CC55078D66DE17D8B4976CE6E3550D5831D2CF60986E454E82CA4E74525A66834B1C9D58D571B841D202B117F86943B620061E38C65151B103A50E515AA0D39870AAAE220326B66FFBB77149E923F03704E91D411F403F5B3E00E0CF793366871838753108C240F96484B378798F905C1F8E6F768F4F340045654EE8A1B287B3EC8B01D3C46D90D19E5595EC37F8F56CB71DF4522132C1AA51C16BA9F01F99E6AA1FE4432510D5480FF27E2314E502DA1B4B48D1F6DF46DBE504F5D8358214655D23A4872A597C582651C694123C1FCB137604447BC4B189AD9F75BCC10556C1660366272AC51F24BF2BDE1C74E9F8B186EEFE1F1D49A671920CBB72C4006E71FFE43893CC1D6730A7DF6159DDA95063F0CE8EC56035C2C819F40E9A641E27547A0F706E89993B404CA557F2B0EBEFB5A2ED389D24B88D01C88774DDFDEA9BA3E7984DCAD218BE9EEA5B390F17FE1C2E5F7B9B3D844ED937FC80C9E9EB705F8018E5602BDF043258F4284EAB4460D2B4BA2F39E109E25D03F435DE6B14C3D12EEED13A9AC21C7190A64EAB1EC2F5758ED109365CF407234C062336D17D65A4EB384DEF91F6C687E35CDEE3D452B38A887FD8CAD69E8AB92A001BE24F32FA93F8A86C7BB9B43BC9AAA3E701B7BA5F2F9CB357FF01CF1E4ADC397BEF6BDC1E3E2CB3E59ECEE274E0A0FDD7D3431AC319193DBE3B64D0CF4A9E3D539F3BC3F37E3237100D6AACD0B44FA678E8737F4F6EA50C9E47A009B1038DD97F4A3E7A110A7F583BEA978E5A26F29196A34CD67C243B4D4AF526449E48961CD8D198BCDFCF9B9377BBA14F36E8AF465FFDDD3FDC1893BC1AF55A8BF6330F88E0DFD64A1D923EAD7D1671F91797B3F61C','f968801c8ebe2c5f9a4b12d97e0f5da73586d11532d44d8fbf96f5b0d0bbbeba');
CREATE TABLE suggestions (
	id VARCHAR(200) NOT NULL, 
	accepted BOOLEAN NOT NULL, 
	decided_at VARCHAR(40) NOT NULL, 
	decided_by TEXT NOT NULL, 
	CONSTRAINT pk_suggestions PRIMARY KEY (id)
);
CREATE INDEX ix_access_log_at ON access_log (at);
CREATE INDEX ix_cases_state ON cases (state);
CREATE UNIQUE INDEX uq_files_shown ON files (case_id, name) WHERE hidden_at IS NULL;
DELETE FROM "sqlite_sequence";
INSERT INTO "sqlite_sequence" VALUES('access_log',5);
INSERT INTO "sqlite_sequence" VALUES('cases',1);
COMMIT;
