using System.Reflection;
using System.Xml.Linq;
using NetArchTest.Rules;
using ThermoWatch.Tests;
using TestResult = NetArchTest.Rules.TestResult;

namespace ThermoWatch.Architecture.Tests;

/// <summary>Arrows between the rooms run downwards only.</summary>
public sealed class RoomTests
{
    private static readonly string[] OurRooms =
    [
        "ThermoWatch.Domain", "ThermoWatch.Acquisition", "ThermoWatch.Recording", "ThermoWatch.Feeds", "ThermoWatch.Reports",
        "ThermoWatch.Simulator", "ThermoWatch.Service",
    ];

    /// <summary>Each room and the rooms that it may use.</summary>
    public static TheoryData<string, string[]> Rooms => new()
    {
        { "ThermoWatch.Domain", [] },
        { "ThermoWatch.Acquisition", ["ThermoWatch.Domain"] },
        { "ThermoWatch.Recording", ["ThermoWatch.Domain"] },
        { "ThermoWatch.Feeds", ["ThermoWatch.Domain"] },
        { "ThermoWatch.Simulator", ["ThermoWatch.Domain"] },
    };

    [Theory]
    [MemberData(nameof(Rooms))]
    public void A_room_uses_only_the_rooms_below_it(string room, string[] allowed)
    {
        string[] forbidden = [.. OurRooms.Except(allowed).Where(r => r != room)];
        TestResult result = Types.InAssembly(Assembly.Load(room)).ShouldNot().HaveDependencyOnAny(forbidden).GetResult();
        Assert.True(result.IsSuccessful, $"{room} uses what it may not: {Names(result)}");
    }

    [Theory]
    [MemberData(nameof(Rooms))]
    public void A_project_references_only_the_rooms_below_it(string room, string[] allowed)
    {
        string project = Directory.EnumerateFiles(Repository.Root, room + ".csproj", SearchOption.AllDirectories).Single();
        IEnumerable<string> references = XDocument.Load(project).Descendants("ProjectReference")
            .Select(r => Path.GetFileNameWithoutExtension(r.Attribute("Include")!.Value.Replace('\\', '/')));
        Assert.Empty(references.Except(allowed));
    }

    [Fact]
    public void Every_project_is_one_of_the_known_rooms()
    {
        IEnumerable<string> projects = new[] { "src", "simulator" }
            .SelectMany(folder => Directory.EnumerateFiles(Path.Combine(Repository.Root, folder), "*.csproj", SearchOption.AllDirectories))
            .Select(p => Path.GetFileNameWithoutExtension(p));
        Assert.Empty(projects.Except(OurRooms));
    }

    [Fact]
    public void The_domain_is_pure()
    {
        TestResult result = Types.InAssembly(Assembly.Load("ThermoWatch.Domain")).ShouldNot()
            .HaveDependencyOnAny(
                "System.IO.File", "System.IO.FileStream", "System.IO.Directory", "System.Net", "System.Threading", "System.Console",
                "System.Diagnostics.Stopwatch", "System.Random", "System.TimeProvider", "System.Environment", "Microsoft.Extensions")
            .GetResult();
        Assert.True(result.IsSuccessful, "These domain types reach outside: " + Names(result));
    }

    [Fact]
    public void The_simulator_knows_of_the_domain_only_the_thermocouple_function()
    {
        string[] forbidden = ["Signals", "Engine", "Figures", "Specs", "Alarms", "Pressure", "Forecasts", "Statistics", "Files"];
        TestResult result = Types.InAssembly(Assembly.Load("ThermoWatch.Simulator")).ShouldNot()
            .HaveDependencyOnAny([.. forbidden.Select(f => "ThermoWatch.Domain." + f)]).GetResult();
        Assert.True(result.IsSuccessful, "The simulator shares more than the reference function: " + Names(result));
    }

    [Fact]
    public void The_rules_can_fail()
    {
        // The same check, asked of a room that does use what is forbidden: it must say so, or the tests above prove nothing.
        TestResult result = Types.InAssembly(Assembly.Load("ThermoWatch.Acquisition")).ShouldNot()
            .HaveDependencyOnAny("ThermoWatch.Domain").GetResult();
        Assert.False(result.IsSuccessful);
    }

    private static string Names(TestResult result) =>
        string.Join(", ", (result.FailingTypes ?? []).Select(t => t.FullName).DefaultIfEmpty("-"));
}
