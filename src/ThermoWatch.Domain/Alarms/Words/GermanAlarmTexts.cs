using System.Collections.Frozen;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>The same as the English texts, in German.</summary>
internal static class GermanAlarmTexts
{
    private const string HoldHot = "Kammer geschlossen lassen, Programm zu Ende laufen lassen, Baugruppen sperren.";
    private const string Hold = "Programm zu Ende laufen lassen, Baugruppen sperren, bis jemand entschieden hat.";
    private const string OldValues = "Andere Systeme zeigen alte Werte; die Aufzeichnung hier geht weiter.";
    private const string CheckReceiver = "Das empfangende System und das Netz prüfen.";
    private const string Due = "{where}: Ein Überprüfungslauf ist fällig.";
    private const string NotShown = "Es ist nicht mehr gezeigt, dass der Prozess der freigegebene ist.";
    private const string PlanOne = "Einen Überprüfungslauf einplanen.";
    private const string ValuesMissing = "Anderen Systemen fehlen diese Werte; die Aufzeichnung hier hat sie.";
    private const string ReadWords = "Unter Weitergabe lesen, was das System sagt. Dort die Ursache beheben lassen, dann die Zeilen erneut senden oder verwerfen.";

    public static FrozenDictionary<AlarmPriority, string> Urgency { get; } = new Dictionary<AlarmPriority, string>
    {
        [AlarmPriority.High] = "Jetzt handeln.",
        [AlarmPriority.Medium] = "Handeln, bevor diese Baugruppen weitergehen oder der nächste Lauf beginnt.",
        [AlarmPriority.Low] = "In dieser Schicht handeln.",
    }.ToFrozenDictionary();

    public static FrozenDictionary<string, AlarmText> Texts { get; } = new (string Key, string What, string Short, string Consequence, string Action)[]
    {
        ("tooHot", "{where} hat {value} erreicht, {beyond} über der Spitzengrenze von {limit}.", "{where} ist über der Spitzengrenze.", "Bauteile und Laminat können Schaden nehmen.", HoldHot),
        ("tooHot.vapour", "{where} hat {value} erreicht; mehr als {limit} gibt der Dampf nicht her.", "{where} ist heißer, als der Dampf es machen kann.",
            "Etwas anderes heizt die Baugruppe, oder der Fühler misst falsch: Schaden ist nicht auszuschließen.", HoldHot),
        ("timeAboveLiquidus", "{where} ist seit {value} flüssig, {allowed}.", "{where} ist zu lange flüssig.", "Lötstellen werden spröde, Bauteile altern.", HoldHot),
        ("coldAtEvacuation", "{where} war {size} {side} Liquidus, als die Evakuierung begann{needed}.", "{where}: Die Evakuierung begann, bevor alle Lötstellen flüssig waren.",
            "Breiiges Lot spritzt, und Poren bleiben.", "Programm zu Ende laufen lassen, Baugruppen sperren, die kältesten Lötstellen prüfen lassen. Ein zweites Löten ist eine Abweichung."),
        ("slowPumpDown", "{where}: Das Abpumpen hat {value} gedauert, {allowed}.", "{where}: Das Abpumpen dauert zu lange.", "Das Vakuum wird zu kurz gehalten, und Poren bleiben.",
            "Programm zu Ende laufen lassen, Baugruppen sperren. Pumpe beim nächsten Stillstand ansehen lassen."),
        ("basePressure", "{where}: Der tiefste Druck war {value}, das Ziel ist {limit}.", "{where}: Der Zieldruck wurde nicht erreicht.", "Poren bleiben in den Lötstellen.",
            "Programm zu Ende laufen lassen, Baugruppen sperren. Dichtung, Pumpe und Messröhre vor dem nächsten Lauf ansehen lassen."),
        ("freezeUnderVacuum", "{where} ist unter Vakuum auf {size} {side} Liquidus gefallen{needed}.", "{where}: Eine Lötstelle ist unter Vakuum unter Liquidus gefallen.", "Poren erstarren in voller Größe.",
            "Programm zu Ende laufen lassen, Baugruppen sperren, die kältesten Lötstellen prüfen lassen."),
        ("pressureLost", "{where}: Der Druck ist beim Halten auf {value} gestiegen, {allowed}.", "{where}: Der Druck steigt beim Halten.", "Das Halten zählt nicht, und Poren bleiben.",
            "Programm zu Ende laufen lassen, Baugruppen sperren. Dichtung und Pumpe brauchen nach dem Lauf Wartung."),
        ("evacuationRate", "{where}: Der Druck fiel zu schnell, {figure} war {value}, {allowed}.", "{where}: Der Druck fiel zu schnell.", "Flüssiges Lot kann gespritzt haben.",
            "Programm zu Ende laufen lassen, Baugruppen sperren, auf Lotperlen prüfen lassen."),
        ("ventRate", "{where}: Das Belüften liegt außerhalb seiner Grenzen, {figure} war {value}, {allowed}.", "{where}: Das Belüften liegt außerhalb seiner Grenzen.", "Lötstellen können gestört oder zu früh erstarrt sein.",
            "Programm zu Ende laufen lassen, Baugruppen sperren. Belüftungsventil beim nächsten Stillstand ansehen lassen."),
        ("soakMissed", "{where} war {value} in der Haltezone, {allowed}.", "{where}: Die Haltezone wurde verfehlt.", "Das Flussmittel ist verbraucht oder noch nicht aktiv, und Stellen sind verschieden warm.", Hold),
        ("plateauOff", "{where} stand drei Läufe nacheinander {size} {side} dem Siedepunkt des Mediums; höchstens {most} erlaubt.", "{where} steht neben dem Siedepunkt des Mediums.", "Baugruppen werden heißer oder kälter als freigegeben.",
            "Medium, Luft im Dampf und Messröhre beim nächsten Stillstand ansehen lassen."),
        ("movedWhileLiquid", "{where} hat {value} gezeigt, während Lötstellen flüssig waren, {allowed}.", "{where}: Der Träger hat sich bewegt, während Lötstellen flüssig waren.", "Lötstellen können gestört sein.",
            "Programm zu Ende laufen lassen, Baugruppen sperren, Lötstellen prüfen lassen."),
        ("offReference", "{where} liegt {value} außerhalb des Korridors der freigegebenen Läufe.", "{where} liegt außerhalb des Korridors der freigegebenen Läufe.", "Dieser Lauf ist nicht wie die freigegebenen.", Hold),
        ("unexpectedVacuum", "{where}: Evakuierungen bisher {value}, die Vorgabe verlangt {limit}.", "{where}: Die Evakuierungen sind nicht die, die die Vorgabe verlangt.", "Vielleicht läuft ein anderes Rezept.",
            "Rezept an der Maschine mit dem Produkt vergleichen. Nicht weiter beladen, bis es stimmt; diese Baugruppen sperren."),
        ("wrongRecipe", "{where}: Rezept {value} läuft, {product} verlangt {limit}.", "{where}: Es läuft ein anderes Rezept, als {product} verlangt.", "Diese Baugruppen werden mit einem anderen Rezept gelötet.",
            "Nicht weiter beladen. Programm zu Ende laufen lassen, Baugruppen sperren."),
        ("cycleStopped", "{where}: Der nächste Schritt ist nach {value} nicht gekommen, üblich bis {limit}; Lötstellen sind flüssig.", "{where}: Der nächste Schritt kommt nicht; Lötstellen sind flüssig.", "Die Zeit über Liquidus läuft weiter.",
            "Kammer geschlossen lassen. Anzeige der Maschine ansehen, Baugruppen sperren."),
        ("fluidOverheat", "{where} hat {value} erreicht, {beyond} über den {limit}, bis zu denen das Medium beständig ist.", "{where} ist heißer, als das Medium verträgt.", "Das Medium zersetzt sich in giftige Stoffe, darunter Fluorwasserstoff.",
            "Heizung an der Bedienung der Maschine abschalten. Kammer geschlossen, Absaugung in Betrieb und Menschen fern halten; Wartung rufen."),
        ("limit", "{where}: {figure} ist {value}, {allowed}.", "{where}: {figure} erfüllt nicht, was die Vorgabe verlangt.", "Der Lauf liegt außerhalb dessen, was seine Vorgabe verlangt.", "Baugruppen sperren, bis jemand entschieden hat."),
        ("coldJunction", "{where} hat {value} gezeigt, {allowed}.", "{where} gibt keinen glaubhaften Wert.", "Temperaturen, die darauf beruhen, sind nicht bekannt.",
            "Messgerät ansehen lassen; was es seitdem gemessen hat, ist unbestimmt."),
        ("deviceSilent", "Keine Daten von {where}.", "Keine Daten von {where}.", "Was mit den Baugruppen geschieht, ist von hier aus nicht bekannt.",
            "Anzeige der Maschine ansehen. Stecker und Versorgung des Messgeräts prüfen."),
        ("recording", "Die Aufzeichnung von {where} ist {span} zurück, {allowed}.", "Die Aufzeichnung von {where} wird nicht geschrieben.", "In der Aufzeichnung werden Werte fehlen.", "Platte des Rechners prüfen, auf dem dieser Dienst läuft."),
        ("feed", "Eine Weitergabe ist {span} zurück, {allowed}.", "Eine Weitergabe ist zurück.", OldValues, CheckReceiver),
        ("feed.named", "Die Weitergabe {feed} ist {span} zurück, {allowed}.", "Eine Weitergabe ist zurück.", OldValues, CheckReceiver),
        ("feedRejected", "Zeilen einer Weitergabe lehnt das empfangende System ab: bisher {value}.", "Das empfangende System lehnt Zeilen einer Weitergabe ab.", ValuesMissing, ReadWords),
        ("feedRejected.named", "Zeilen der Weitergabe {feed} lehnt das empfangende System ab: bisher {value}.", "Das empfangende System lehnt Zeilen einer Weitergabe ab.", ValuesMissing, ReadWords),
        ("feedRejected.words", "Zeilen der Weitergabe {feed} lehnt das empfangende System ab: bisher {value}. Es sagt dazu „{words}“.", "Das empfangende System lehnt Zeilen einer Weitergabe ab.", ValuesMissing, ReadWords),
        ("clock", "Die Uhr des Rechners wurde um {span} {way}gestellt.", "Die Uhr des Rechners wurde verstellt.", "Zeiten anderer Systeme passen nicht mehr zu diesen.", "Zeitquelle des Rechners prüfen."),
        ("calibrationDue", "Die Kalibrierung von {where} ist seit {value} überfällig.", "Die Kalibrierung von {where} ist überfällig.", "Läufe werden mit einem Kanal beurteilt, dessen Fehler niemand geprüft hat.", "Kanal kalibrieren lassen."),
        ("verificationDue", "{where}: {value} Läufe seit dem letzten Überprüfungslauf, fällig nach {limit}.", Due, NotShown, PlanOne),
        ("verificationDue.age", "{where}: Der letzte Überprüfungslauf liegt {value} zurück, fällig nach {limit}.", Due, NotShown, PlanOne),
        ("verificationDue.work", "{where}: kein Überprüfungslauf seit der Arbeit {work}.", Due, NotShown, PlanOne),
    }.ToFrozenDictionary(t => t.Key, t => new AlarmText(t.What, t.Short, t.Consequence, t.Action, AlarmTexts.English[t.Key].Helps));
}
