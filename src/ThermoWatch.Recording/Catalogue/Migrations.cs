namespace ThermoWatch.Recording.Catalogue;

/// <summary>
/// Every step from an empty file to today's tables. A step that was released is never changed: add one, also (with no statement of its own) when a shape that stands in
/// a column as JSON gets a new field, so that the rows of before are made anew from the chain.
/// </summary>
internal static class Migrations
{
    public static readonly (string Name, string Sql)[] Steps =
    [
        ("runs and alarm history", """
            CREATE TABLE runs (
                cell INTEGER NOT NULL,
                number INTEGER NOT NULL,
                carrier TEXT NOT NULL,
                start_ticks INTEGER NOT NULL,
                end_ticks INTEGER,
                end_reason TEXT,
                first_sequence INTEGER NOT NULL,
                last_sequence INTEGER,
                spec_name TEXT,
                spec_version INTEGER,
                verdict TEXT,
                reasons TEXT NOT NULL,
                figures TEXT NOT NULL,
                phases TEXT NOT NULL,
                notes TEXT NOT NULL,
                PRIMARY KEY (cell, number)
            ) WITHOUT ROWID, STRICT;
            CREATE INDEX runs_by_start ON runs (cell, start_ticks);
            CREATE TABLE alarm_events (
                id INTEGER PRIMARY KEY,
                cell INTEGER NOT NULL,
                time_ticks INTEGER NOT NULL,
                alarm_id TEXT NOT NULL,
                condition TEXT NOT NULL,
                channel TEXT,
                state TEXT NOT NULL,
                predicted INTEGER NOT NULL,
                value REAL,
                limit_value REAL,
                run INTEGER
            ) STRICT;
            CREATE INDEX alarm_events_by_time ON alarm_events (cell, time_ticks);
            CREATE UNIQUE INDEX alarm_events_once ON alarm_events (cell, alarm_id, time_ticks, state);
            """),
        ("what people say of runs, decisions, references, service log", """
            CREATE TABLE run_records (
                cell INTEGER NOT NULL,
                run INTEGER NOT NULL,
                product TEXT,
                record TEXT NOT NULL,
                PRIMARY KEY (cell, run)
            ) WITHOUT ROWID, STRICT;
            CREATE TABLE run_serials (
                serial TEXT NOT NULL,
                cell INTEGER NOT NULL,
                run INTEGER NOT NULL,
                PRIMARY KEY (serial, cell, run)
            ) WITHOUT ROWID, STRICT;
            CREATE TABLE run_changes (
                id INTEGER PRIMARY KEY,
                cell INTEGER NOT NULL,
                run INTEGER NOT NULL,
                time_ticks INTEGER NOT NULL,
                by_whom TEXT NOT NULL,
                reason TEXT,
                changes TEXT NOT NULL
            ) STRICT;
            CREATE INDEX run_changes_by_run ON run_changes (cell, run);
            CREATE TABLE decisions (
                id INTEGER PRIMARY KEY,
                cell INTEGER NOT NULL,
                run INTEGER NOT NULL,
                time_ticks INTEGER NOT NULL,
                kind TEXT NOT NULL,
                by_whom TEXT NOT NULL,
                reason TEXT NOT NULL,
                reference TEXT,
                what TEXT
            ) STRICT;
            CREATE INDEX decisions_by_run ON decisions (cell, run, id);
            CREATE TABLE reference_runs (
                cell INTEGER NOT NULL,
                run INTEGER NOT NULL,
                time_ticks INTEGER NOT NULL,
                by_whom TEXT NOT NULL,
                reason TEXT NOT NULL,
                withdrawn_ticks INTEGER,
                withdrawn_by TEXT,
                withdrawn_reason TEXT,
                PRIMARY KEY (cell, run, time_ticks)
            ) WITHOUT ROWID, STRICT;
            CREATE TABLE service_log (
                id INTEGER PRIMARY KEY,
                cell INTEGER NOT NULL,
                time_ticks INTEGER NOT NULL,
                kind TEXT NOT NULL,
                by_whom TEXT NOT NULL,
                remark TEXT NOT NULL,
                amount_ml REAL,
                lot TEXT
            ) STRICT;
            CREATE INDEX service_log_by_time ON service_log (cell, time_ticks);
            """),
        ("audit trail, specs, configurations, and the chain that all of it stands in", """
            CREATE TABLE audit (
                number INTEGER PRIMARY KEY,
                time_ticks INTEGER NOT NULL,
                who TEXT NOT NULL,
                station TEXT NOT NULL,
                action TEXT NOT NULL,
                subject TEXT NOT NULL,
                before TEXT,
                after TEXT,
                reason TEXT
            ) STRICT;
            CREATE INDEX audit_by_subject ON audit (subject, number);
            CREATE TABLE spec_versions (
                name TEXT NOT NULL,
                version INTEGER NOT NULL,
                json TEXT NOT NULL,
                added_ticks INTEGER NOT NULL,
                added_by TEXT NOT NULL,
                PRIMARY KEY (name, version)
            ) WITHOUT ROWID, STRICT;
            CREATE TABLE configuration_versions (
                number INTEGER PRIMARY KEY,
                json TEXT NOT NULL,
                time_ticks INTEGER NOT NULL,
                by_whom TEXT NOT NULL
            ) STRICT;
            CREATE TABLE seals (
                cell INTEGER NOT NULL,
                last_sequence INTEGER NOT NULL,
                hash TEXT NOT NULL,
                PRIMARY KEY (cell, last_sequence)
            ) WITHOUT ROWID, STRICT;
            CREATE TABLE removals (
                number INTEGER PRIMARY KEY,
                cell INTEGER NOT NULL,
                first_sequence INTEGER NOT NULL,
                last_sequence INTEGER NOT NULL,
                time_ticks INTEGER NOT NULL,
                who TEXT NOT NULL,
                why TEXT NOT NULL,
                run INTEGER
            ) STRICT;
            CREATE TABLE node_keys (number INTEGER PRIMARY KEY, public_key TEXT NOT NULL) STRICT;
            CREATE TABLE chain_applied (id INTEGER PRIMARY KEY CHECK (id = 1), number INTEGER NOT NULL, length INTEGER NOT NULL) STRICT;
            INSERT INTO chain_applied VALUES (1, 0, 0);
            """),
        ("kind, recipe and load of a run", """
            ALTER TABLE runs ADD COLUMN kind TEXT NOT NULL DEFAULT 'profile';
            ALTER TABLE runs ADD COLUMN recipe INTEGER;
            ALTER TABLE runs ADD COLUMN load INTEGER;
            ALTER TABLE runs ADD COLUMN start_reason TEXT NOT NULL DEFAULT '';
            """),
        ("what happened to an alarm, who did it, and why", """
            ALTER TABLE alarm_events ADD COLUMN signal TEXT NOT NULL DEFAULT 'ConditionActive';
            ALTER TABLE alarm_events ADD COLUMN priority TEXT NOT NULL DEFAULT 'Medium';
            ALTER TABLE alarm_events ADD COLUMN by_whom TEXT NOT NULL DEFAULT '';
            ALTER TABLE alarm_events ADD COLUMN comment TEXT NOT NULL DEFAULT '';
            ALTER TABLE alarm_events ADD COLUMN until_ticks INTEGER;
            ALTER TABLE alarm_events ADD COLUMN deadline_ticks INTEGER;
            ALTER TABLE alarm_events ADD COLUMN figure TEXT;
            UPDATE alarm_events SET signal = CASE state WHEN 'Acknowledged' THEN 'Acknowledge' WHEN 'Unacknowledged' THEN 'ConditionActive' ELSE 'ConditionClears' END;
            DROP INDEX alarm_events_once;
            CREATE UNIQUE INDEX alarm_events_once ON alarm_events (cell, alarm_id, time_ticks, state, signal);
            """),
        ("runs judged once more, and by which algorithm they were judged", """
            ALTER TABLE runs ADD COLUMN algorithm TEXT NOT NULL DEFAULT '1';
            CREATE TABLE rejudgements (
                cell INTEGER NOT NULL,
                number INTEGER NOT NULL,
                time_ticks INTEGER NOT NULL,
                by_whom TEXT NOT NULL,
                reason TEXT NOT NULL,
                software TEXT NOT NULL,
                algorithm TEXT NOT NULL,
                asked TEXT NOT NULL,
                judged INTEGER NOT NULL,
                other INTEGER NOT NULL,
                not_judged INTEGER NOT NULL,
                PRIMARY KEY (cell, number)
            ) WITHOUT ROWID, STRICT;
            CREATE TABLE rejudged_runs (
                cell INTEGER NOT NULL,
                rejudgement INTEGER NOT NULL,
                run INTEGER NOT NULL,
                before TEXT,
                after TEXT,
                judged TEXT NOT NULL,
                PRIMARY KEY (cell, rejudgement, run)
            ) WITHOUT ROWID, STRICT;
            CREATE INDEX rejudged_runs_by_run ON rejudged_runs (cell, run);
            """),
    ];
}
