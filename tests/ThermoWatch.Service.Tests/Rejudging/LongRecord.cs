using ThermoWatch.Domain.Engine;
using ThermoWatch.Domain.Runs;
using ThermoWatch.Domain.Signals;
using ThermoWatch.Recording;
using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Journal;

namespace ThermoWatch.Service.Tests.Rejudging;

/// <summary>
/// A record of years, for measuring: some runs of the simulated machine, lived through as ever, and their raw readings and rows once
/// more and once more, each time later.
/// </summary>
internal static class LongRecord
{
    private const int Lived = 24;

    /// <summary>Makes it.</summary>
    /// <param name="path">Folder of the record.</param>
    /// <param name="runs">How many runs.</param>
    /// <param name="say">Told how far it is.</param>
    public static async Task MakeAsync(string path, int runs, Action<string> say)
    {
        await SimulatedRecord.MakeAsync(path, Math.Min(runs, Lived));
        using DataFolder folder = DataFolder.Open(path, TimeProvider.System).Folder!;
        using RunCatalogue catalogue = RunCatalogue.Open(folder.CataloguePath, TimeProvider.System);
        using CellJournal journal = CellJournal.Open(folder.JournalPath(1), SimulatedRecord.Configuration().Cells[0].Definition, TimeProvider.System);
        RunRow[] rows = [.. catalogue.Latest(1, Lived).Where(r => r.End is not null).OrderBy(r => r.Number)];
        ScanInput[][] inputs = [.. rows.Select((row, i) => Readings(journal, i == 0 ? 1 : rows[i - 1].LastSequence!.Value + 1, row.LastSequence!.Value))];
        long first = inputs[0][0].Time.UtcTicks;
        long round = inputs[^1][^1].Time.UtcTicks - first + (60 * Timestamp.TicksPerSecond);
        long number = rows[^1].Number;
        for (long copy = 1; number < runs; copy++)
        {
            for (int i = 0; i < rows.Length && number < runs; i++)
            {
                long begins = journal.LastSequence + 1;
                foreach (ScanInput[] batch in inputs[i].Chunk(256))
                {
                    journal.AppendBatch(Array.ConvertAll(batch, EngineInput (input) => Later(input, copy * round)));
                }

                journal.CloseSegment();
                number++;
                catalogue.Save(rows[i] with
                {
                    Number = number,
                    Start = Later(rows[i].Start, copy * round),
                    End = Later(rows[i].End!.Value, copy * round),
                    FirstSequence = begins,
                    LastSequence = journal.LastSequence,
                });
                catalogue.Book.Edit(1, number, new RunRecordEdit { Serials = [$"SN-{number}"] }, Later(rows[i].End!.Value, copy * round), "K. Lang", null);
                if (number % 500 == 0)
                {
                    say($"{number} runs made");
                }
            }
        }

        journal.SealClosed();
    }

    private static ScanInput[] Readings(CellJournal journal, long from, long to) =>
        [.. journal.ReadFrom(from).TakeWhile(e => e.Sequence <= to).OfType<InputEntry>().Select(e => e.Input).OfType<ScanInput>()];

    private static ScanInput Later(ScanInput input, long ticks) =>
        new(new RawScan(input.Scan.DeviceIndex, Later(input.Scan.Time, ticks), input.Scan.Values, input.Scan.Qualities));

    private static Timestamp Later(Timestamp time, long ticks) => new(time.UtcTicks + ticks);
}
