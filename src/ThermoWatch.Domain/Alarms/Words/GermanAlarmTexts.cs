using System.Collections.Frozen;

namespace ThermoWatch.Domain.Alarms.Words;

/// <summary>The same as the English texts, in German.</summary>
internal static class GermanAlarmTexts
{
    private const string HoldHot = "Kammer geschlossen lassen, Programm zu Ende laufen lassen, Baugruppen sperren.";
    private const string Hold = "Programm zu Ende laufen lassen, Baugruppen sperren, bis jemand entschieden hat.";
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
        ("tooHot", "{where} zeigt {value}, {beyond} über der Spitzengrenze von {limit}.", "{where} ist über der Spitzengrenze.", "Bauteile und Laminat können Schaden nehmen.", HoldHot),
        ("tooHot.vapour", "{where} zeigt {value}, {beyond} über dem, was der Dampf geben kann.", "{where} ist heißer, als der Dampf es machen kann.",
            "Etwas anderes heizt die Baugruppe, oder der Fühler ist falsch: Schaden ist nicht auszuschließen.", HoldHot),
        ("timeAboveLiquidus", "{where} ist seit {value} flüssig, Grenze {limit}.", "{where} ist zu lange flüssig.", "Lötstellen werden spröde, Bauteile altern.", HoldHot),
        ("coldAtEvacuation", "Die Evakuierung begann mit {where} bei {value} über Liquidus, verlangt sind {limit}.", "Die Evakuierung begann, bevor alle Lötstellen flüssig waren.",
            "Breiiges Lot spritzt, und Poren bleiben.", "Programm zu Ende laufen lassen, Baugruppen sperren, die kältesten Lötstellen prüfen lassen. Ein zweites Löten ist eine Abweichung."),
        ("slowPumpDown", "Das Abpumpen dauert {value}, Grenze {limit}.", "Das Abpumpen dauert zu lange.", "Die Haltezeit wird kurz, und Poren bleiben.",
            "Programm zu Ende laufen lassen, Baugruppen sperren. Pumpe beim nächsten Stillstand ansehen lassen."),
        ("basePressure", "Der tiefste Druck war {value}, Ziel {limit}.", "Der Zieldruck wurde nicht erreicht.", "Poren bleiben in den Lötstellen.",
            "Programm zu Ende laufen lassen, Baugruppen sperren. Dichtung, Pumpe und Messröhre vor dem nächsten Lauf ansehen lassen."),
        ("freezeUnderVacuum", "{where} ist unter Vakuum auf {value} ab Liquidus gefallen.", "Eine Lötstelle ist unter Vakuum unter Liquidus gefallen.", "Poren erstarren in voller Größe.",
            "Programm zu Ende laufen lassen, Baugruppen sperren, die kältesten Lötstellen prüfen lassen."),
        ("pressureLost", "Der Druck ist in der Haltezeit auf {value} gestiegen, Grenze {limit}.", "Der Druck steigt in der Haltezeit.", "Die Haltezeit zählt nicht, und Poren bleiben.",
            "Programm zu Ende laufen lassen, Baugruppen sperren. Dichtung und Pumpe brauchen nach dem Lauf Wartung."),
        ("evacuationRate", "Der Druck fiel mit {value}, Grenze {limit}.", "Der Druck fiel zu schnell.", "Flüssiges Lot kann gespritzt haben.",
            "Programm zu Ende laufen lassen, Baugruppen sperren, auf Lotperlen prüfen lassen."),
        ("ventRate", "Das Belüften zeigte {value}, Grenze {limit}.", "Das Belüften lag außerhalb der Grenzen.", "Lötstellen können gestört oder zu früh erstarrt sein.",
            "Programm zu Ende laufen lassen, Baugruppen sperren. Belüftungsventil beim nächsten Stillstand ansehen lassen."),
        ("soakMissed", "{where} hat {value} durchwärmt, Grenze {limit}.", "Das Durchwärmen liegt außerhalb der Grenzen.", "Das Flussmittel ist verbraucht oder noch nicht aktiv, und Stellen sind verschieden warm.", Hold),
        ("plateauOff", "Der Dampf stand drei Läufe nacheinander {value} neben dem Siedepunkt des Mediums.", "Der Dampf steht neben dem Siedepunkt des Mediums.", "Baugruppen werden heißer oder kälter als freigegeben.",
            "Medium, Luft im Dampf und Messröhre beim nächsten Stillstand ansehen lassen."),
        ("movedWhileLiquid", "{where} zeigt {value} bei flüssigen Lötstellen, Grenze {limit}.", "Der Träger hat sich bei flüssigen Lötstellen bewegt.", "Lötstellen können gestört sein.",
            "Programm zu Ende laufen lassen, Baugruppen sperren, Lötstellen prüfen lassen."),
        ("offReference", "{where} liegt {value} außerhalb der freigegebenen Läufe.", "{where} liegt außerhalb der freigegebenen Läufe.", "Dieser Lauf ist nicht wie die freigegebenen.", Hold),
        ("unexpectedVacuum", "{value} Evakuierungen, die Vorgabe verlangt {limit}.", "Die Evakuierungen sind nicht die der Vorgabe.", "Vielleicht läuft ein anderes Rezept.",
            "Rezept an der Maschine mit dem Produkt vergleichen. Nicht weiter beladen, bis es stimmt; diese Baugruppen sperren."),
        ("wrongRecipe", "Rezept {value} läuft, das Produkt verlangt {limit}.", "Ein anderes Rezept als das des Produkts läuft.", "Diese Baugruppen werden mit einem anderen Rezept gelötet.",
            "Nicht weiter beladen. Programm zu Ende laufen lassen, Baugruppen sperren."),
        ("cycleStopped", "Der nächste Schritt ist nach {value} nicht gekommen, üblich bis {limit}; Lötstellen sind flüssig.", "Der nächste Schritt kommt nicht; Lötstellen sind flüssig.", "Die Zeit über Liquidus läuft weiter.",
            "Kammer geschlossen lassen. Anzeige der Maschine ansehen, Baugruppen sperren."),
        ("fluidOverheat", "{where} zeigt {value}, {beyond} über {limit}.", "{where} ist heißer, als das Medium verträgt.", "Das Medium zersetzt sich in giftige Stoffe, darunter Fluorwasserstoff.",
            "Heizung an der Bedienung der Maschine abschalten. Kammer geschlossen, Absaugung in Betrieb und Menschen fern halten; Wartung rufen."),
        ("limit", "{where}: {value}, Grenze {limit}.", "{where}: nicht erreicht.", "Der Lauf erfüllt seine Vorgabe nicht.", "Baugruppen sperren, bis jemand entschieden hat."),
        ("coldJunction", "{where} zeigt {value}, Grenze {limit}.", "{where} gibt keinen glaubhaften Wert.", "Temperaturen, die darauf beruhen, sind nicht bekannt.",
            "Messgerät ansehen lassen; was es seitdem gemessen hat, ist unbestimmt."),
        ("deviceSilent", "Keine Daten von {where}.", "Keine Daten von {where}.", "Was mit den Baugruppen geschieht, ist von hier aus nicht bekannt.",
            "Anzeige der Maschine ansehen. Stecker und Versorgung des Messgeräts prüfen."),
        ("recording", "Die Aufzeichnung ist {value} zurück, Grenze {limit}.", "Die Aufzeichnung ist zurück.", "In der Aufzeichnung werden Werte fehlen.", "Platte des Rechners prüfen, auf dem dieser Dienst läuft."),
        ("feed", "Eine Weitergabe ist {value} zurück, Grenze {limit}.", "Eine Weitergabe ist zurück.", "Andere Systeme zeigen alte Werte; die Aufzeichnung hier geht weiter.",
            "Das empfangende System und das Netz prüfen."),
        ("feedRejected", "{value} Zeilen einer Weitergabe lehnt das empfangende System ab.", "Das empfangende System lehnt Zeilen einer Weitergabe ab.", ValuesMissing, ReadWords),
        ("feedRejected.named", "{value} Zeilen einer Weitergabe ({feed}) lehnt das empfangende System ab.", "Das empfangende System lehnt Zeilen einer Weitergabe ab.", ValuesMissing, ReadWords),
        ("feedRejected.words", "{value} Zeilen einer Weitergabe ({feed}) lehnt das empfangende System ab und sagt dazu „{words}“.", "Das empfangende System lehnt Zeilen einer Weitergabe ab.", ValuesMissing, ReadWords),
        ("clock", "Die Uhr des Rechners ist um {value} gesprungen.", "Die Uhr des Rechners ist gesprungen.", "Zeiten anderer Systeme passen nicht mehr zu diesen.", "Zeitquelle des Rechners prüfen."),
        ("calibrationDue", "Die Kalibrierung von {where} ist überfällig.", "Die Kalibrierung von {where} ist überfällig.", "Läufe werden mit einem Kanal beurteilt, dessen Fehler niemand geprüft hat.", "Kanal kalibrieren lassen."),
        ("verificationDue", "{value} Läufe seit dem letzten Nachweislauf, Grenze {limit}.", "Ein Nachweislauf ist fällig.", "Es ist nicht mehr gezeigt, dass der Prozess der freigegebene ist.", "Einen Nachweislauf einplanen."),
    }.ToFrozenDictionary(t => t.Key, t => new AlarmText(t.What, t.Short, t.Consequence, t.Action, AlarmTexts.English[t.Key].Helps));
}
