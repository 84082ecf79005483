using ThermoWatch.Domain.Engine;

namespace ThermoWatch.Domain.Tests.Engine;

/// <summary>Noise below the hysteresis of 1 K adds no event, however often it crosses a level; noise above it does.</summary>
public class HysteresisTests
{
    private const double Period = 0.5;

    /// <summary>Stays that lie a hair below a level on the way up, and a hair above it on the way down, half a minute each.</summary>
    private static readonly (double From, double To, double Level)[] s_stays = [(80, 110, 40), (160, 190, 150), (220, 250, 200), (270, 300, 217), (340, 370, 217)];

    private static double Board(double t) => Bench.At(
        t, (60, 25), (80, 39.99), (110, 39.99), (160, 149.99), (190, 149.99), (220, 199.99), (250, 199.99), (270, 216.99), (300, 216.99), (320, 240),
        (325, 240), (340, 217.01), (370, 217.01), (420, 120), (520, 30));

    /// <summary>Noise that changes its sign with every reading, so that each stay crosses its level every half second.</summary>
    private static List<EngineEvent> Events(Func<double, double> amplitude) => Bench.Feed(
        new CellEngine(Bench.Cell(1, pressure: false)),
        Enumerable.Range(0, (int)(560 / Period)).Select(i => (EngineInput)Bench.Scan(i * Period, Board(i * Period) + ((i % 2 == 0 ? 1 : -1) * amplitude(i * Period))))
            .Prepend(new SpecInput(Bench.Epoch, "A", Bench.Sac305())));

    private static (string Name, double Told, double Start)[] Phases(IEnumerable<EngineEvent> events) =>
    [
        .. events.OfType<PhaseEvent>().Select(e => (e.Phase.Name, e.Time.SecondsSince(Bench.Epoch), e.Phase.Start.SecondsSince(Bench.Epoch))),
    ];

    [Fact]
    public void Noise_below_the_hysteresis_adds_no_event_and_moves_none_by_more_than_the_ramp_explains()
    {
        List<EngineEvent> quiet = Events(_ => 0);
        (string Name, double Told, double Start)[] expected = Phases(quiet);
        Assert.Equal(["load", "preheat", "soak", "ramp", "reflow", "cool"], expected.Select(p => p.Name));
        for (int seed = 0; seed < 20; seed++)
        {
            var random = new Random(seed);
            List<EngineEvent> noisy = Events(_ => 0.3 + (0.68 * random.NextDouble()));
            Assert.Equal(quiet.Select(e => e.GetType().Name).Order(), noisy.Select(e => e.GetType().Name).Order());
            Assert.Equal(quiet.OfType<RunEvent>().Select(e => (e.Run, e.State, e.Reason)), noisy.OfType<RunEvent>().Select(e => (e.Run, e.State, e.Reason)));
            foreach (((string name, double told, double start), (string name, double told, double start) n) in expected.Zip(Phases(noisy)))
            {
                // 1 K at the slowest ramp beside a stay, 0.75 K/s, and a reading's distance.
                Assert.Equal(name, n.name);
                Assert.True(Math.Abs(told - n.told) <= 3.5 && Math.Abs(start - n.start) <= 3.5, $"seed {seed}: {name} from {start} s, told at {told}; with noise from {n.start}, told at {n.told}");
            }
        }
    }

    [Theory]
    [InlineData(0, "preheat")]
    [InlineData(1, "soak")]
    [InlineData(2, "ramp")]
    [InlineData(3, "reflow")]
    [InlineData(4, "cool")]
    public void Noise_just_above_the_hysteresis_is_seen_where_it_is(int stay, string phase)
    {
        (double from, double to, double level) = s_stays[stay];
        double Told(double amplitude) => Phases(Events(t => t > from + 5 && t < to - 5 ? amplitude : 0)).Single(p => p.Name == phase).Told;

        // 0.01 K from the level: 0.98 K stays within 1 K of it, 1.02 K does not.
        Assert.True(Told(0.98) >= to, $"{phase} was told at {Told(0.98)} s, while the board stayed at {level} degC until {to} s");
        Assert.InRange(Told(1.02), from + 5, to - 5);
    }
}
