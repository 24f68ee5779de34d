-- Views for readers: plain names, nothing packed. These are the documented way in for SQL and pandas.
CREATE VIEW sheets AS
SELECT s.id, s.uid, s.status, s.entry, s.maker, s.abv, s.style, y.name AS style_name, y.family, s.judge, s.tasted, s.added,
       s.total, s.basis AS total_basis, s.band
FROM sheet s LEFT JOIN style y ON y.code = s.style;

CREATE VIEW parts AS
SELECT p.sheet, c.name AS category, p.score, p.cap, p.cap - p.score AS lost
FROM part p JOIN label c ON c.id = p.category;

CREATE VIEW tags AS
SELECT t.sheet, t.n, c.name AS category, w.name AS term, s.name AS state, l.name AS level, q.name AS scale, f.name AS flaw
FROM tag t JOIN term w ON w.id = t.term JOIN label c ON c.id = t.category JOIN label s ON s.id = t.state
LEFT JOIN label l ON l.id = t.level LEFT JOIN label q ON q.id = t.scale LEFT JOIN term f ON f.id = t.flaw;

CREATE VIEW broader_terms AS
SELECT t.name AS term, b.name AS broader
FROM broader x JOIN term t ON t.id = x.term JOIN term b ON b.id = x.broader WHERE x.term <> x.broader;

CREATE VIEW flags AS
SELECT f.sheet, f.n, k.name AS code, c.name AS category, s.name AS severity
FROM flag f JOIN label k ON k.id = f.code JOIN label s ON s.id = f.severity LEFT JOIN label c ON c.id = f.category;

CREATE VIEW history AS
SELECT v.sheet, v.id AS version, v.added, v.status, v.judge, v.tasted, v.finished, v.id = s.version AS current
FROM version v JOIN sheet s ON s.id = v.sheet;

CREATE INDEX sheet_panel ON sheet (entry_key, maker_key, tasted);
CREATE INDEX sheet_judge ON sheet (judge_key);
CREATE INDEX flag_code ON flag (code, sheet);
CREATE INDEX sheet_style ON sheet (style);
CREATE INDEX sheet_total ON sheet (total);
