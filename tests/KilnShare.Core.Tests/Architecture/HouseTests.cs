using System.Xml.Linq;
using KilnShare.Core.Common;

namespace KilnShare.Core.Tests.Architecture;

/// <summary>The house as DEVELOPERS.md draws it. Every exception stands here with its reason; one that is no longer needed is a failure too.</summary>
public sealed class HouseTests
{
    private static readonly Dictionary<string, string> LaterAllowed = new(StringComparer.Ordinal)
    {
        ["src/KilnShare.Core/Pieces/Route.cs uses Firings"] = "a route is a list of kinds of firing, and the kinds are named there",
        ["src/KilnShare.Core/Pieces/RouteFiring.cs uses Firings"] = "a coat goes on before a kind of firing, and the kinds are named there",
        ["src/KilnShare.Api/Bookings/BookingChange.cs uses Energy"] = "what was learnt of the kiln goes into the quote that is kept with a booking",
        ["src/KilnShare.Api/Bookings/BookingEndpoints.cs uses Energy"] = "what was learnt of the kiln goes into the quote that is kept with a booking",
        ["src/KilnShare.Api/Bookings/ConfirmationChange.cs uses Energy"] = "what was learnt of the kiln goes into the quote that is kept with a booking",
        ["src/KilnShare.Api/Bookings/FiringJobs.cs uses Energy"] = "what was learnt of the kiln goes into the quote that is kept with a booking",
        ["src/KilnShare.Api/Bookings/ReplacementChange.cs uses Energy"] = "what was learnt of the kiln goes into the quote that is kept with a booking",
        ["src/KilnShare.Api/Kilns/KilnValidators.cs uses Loading"] = "a kiln takes no more keep-outs and shelves than a load plan",
        ["src/KilnShare.Api/Kilns/KilnContracts.cs uses Energy"] = "a kiln's vent is a part of its heat",
        ["src/KilnShare.Api/Kilns/KilnContracts.cs uses Loading"] = "what a kiln keeps free is told as in a load plan",
        ["src/KilnShare.Api/Firings/FiringContracts.cs uses CoFiring"] = "a firing and a co-firing question share the contract of an aim",
        ["src/KilnShare.Api/Firings/FiringEffects.cs uses Bookings"] = "what unloading does to booked copies",
        ["src/KilnShare.Api/Firings/FiringEndpoints.cs uses Bookings"] = "a firing's row is made with its load, and noted",
        ["src/KilnShare.Api/Kilns/KilnEndpoints.cs uses Loading"] = "a kiln is refused where no load could be planned in it",
        ["src/KilnShare.Api/Firings/FiringEditEndpoints.cs uses Bookings"] = "what is booked fixes a firing's aim, and calling it off withdraws it",
        ["src/KilnShare.Api/Firings/FiringEditEndpoints.cs uses Energy"] = "hours that nobody entered are forecast",
        ["src/KilnShare.Api/Firings/CurveEndpoints.cs uses Energy"] = "a segment as fast as the kiln can is timed by the kiln as learnt",
        ["src/KilnShare.Api/Firings/WitnessEndpoints.cs uses Energy"] = "the end rate of a segment as fast as the kiln can is told by the kiln as learnt",
        ["src/KilnShare.Api/Firings/LogEndpoints.cs uses Bookings"] = "a firing's load row is what its batches and its moves wait for",
        ["src/KilnShare.Api/Firings/FiringOverrun.cs uses Bookings"] = "those who booked in the next firing are told",
        ["src/KilnShare.Api/Firings/FiringEndpoints.cs uses Energy"] = "hours that nobody entered are forecast",
        ["src/KilnShare.Api/Firings/ProgressEndpoints.cs uses Energy"] = "a segment as fast as the kiln can is timed by the kiln's model",
        ["src/KilnShare.Api/Kilns/KilnEditEndpoints.cs uses Bookings"] = "plans that stand on changed furniture are marked, in the same transaction",
        ["src/KilnShare.Api/Kilns/KilnEditEndpoints.cs uses Firings"] = "a kiln with live firings is not put away",
        ["src/KilnShare.Api/Kilns/KilnEndpoints.cs uses Energy"] = "a kiln names its tariff, which must exist",
        ["src/KilnShare.Api/Materials/MaterialEditEndpoints.cs uses Bookings"] = "firings that hold ware of a changed clay or glaze are looked at again, in "
            + "the same transaction",
        ["src/KilnShare.Api/Materials/MaterialEditEndpoints.cs uses Pieces"] = "a material that pieces are made of is not put away",
        ["src/KilnShare.Api/Materials/ReferenceEndpoints.cs uses Kilns"] = "reference data of furniture is served beside that of materials",
        ["src/KilnShare.Api/Materials/ReferenceEndpoints.cs uses Pieces"] = "reference shelves have outlines",
        ["src/KilnShare.Api/Pieces/CustodyEndpoints.cs uses Bookings"] = "what went in and was not fetched is read off the real load",
        ["src/KilnShare.Api/Pieces/CustodyEndpoints.cs uses Firings"] = "ware waits to be fetched since its firing was unloaded",
        ["src/KilnShare.Api/Pieces/PieceAnswers.cs uses Bookings"] = "a copy tells the firings it is booked for",
        ["src/KilnShare.Api/Pieces/PieceAnswers.cs uses Firings"] = "a copy's route is told in kinds of firing",
        ["src/KilnShare.Api/Pieces/PieceEndpoints.cs uses Firings"] = "pieces are found by the kind of firing that they need next",
        ["src/KilnShare.Api/Pieces/PieceSurroundings.cs uses Bookings"] = "a copy tells the firings it is booked for",
        ["src/KilnShare.Api/Pieces/PieceEditEndpoints.cs uses Bookings"] = "a booked piece is not put away",
        ["src/KilnShare.Api/Pieces/PieceEditEndpoints.cs uses Firings"] = "a piece in a live firing is not put away",
        ["src/KilnShare.Api/Pieces/PieceEditEndpoints.cs uses Kilns"] = "the refusal names the kiln that the piece is booked in",
        ["src/KilnShare.Core/Kilns/Kiln.cs uses Energy"] = "a kiln names its tariff by its id only",
        ["src/KilnShare.Storage/Bookings/RoomReading.cs uses Outcomes"] = "a decision hears the studio's own outcomes, which are passed in here",
        ["src/KilnShare.Storage/Kilns/KilnTables.cs uses Energy"] = "the foreign key to a kiln's tariff",
        ["src/KilnShare.Api/Bookings/BookingChange.cs uses Costs"] = "what a booking is quoted is kept with it",
        ["src/KilnShare.Api/Bookings/HeldBookings.cs uses Costs"] = "a booking shows what withdrawing it cost",
        ["src/KilnShare.Api/Bookings/ReplacementChange.cs uses Costs"] = "what a booking is quoted is kept with it",
        ["src/KilnShare.Api/Bookings/ConfirmationChange.cs uses Costs"] = "what a booking is quoted is kept with it",
        ["src/KilnShare.Api/Bookings/WithdrawalChange.cs uses Costs"] = "withdrawing late costs a fee, written in the same transaction",
        ["src/KilnShare.Api/Firings/FiringEffects.cs uses Costs"] = "what calling a firing off costs, written in the same transaction",
        ["src/KilnShare.Api/Studios/MemberLeaving.cs uses Bookings"] = "what is booked is told before a member leaves",
        ["src/KilnShare.Api/Studios/MemberLeaving.cs uses Costs"] = "what is owed is told before a member leaves",
        ["src/KilnShare.Api/Studios/MemberLeaving.cs uses Firings"] = "bookings of past firings keep nobody",
        ["src/KilnShare.Api/Studios/MemberLeaving.cs uses Pieces"] = "ware that is here is told before a member leaves",
        ["src/KilnShare.Api/Studios/StudioEndpoints.cs uses Costs"] = "a studio begins with its accounts",
    };

    private static readonly Dictionary<string, string> DriverAllowed = new(StringComparer.Ordinal)
    {
        ["src/KilnShare.Api/Common/Postgres.cs"] = "the one table of what a database error means to a caller",
        ["src/KilnShare.Api/Hosting/DatabaseHost.cs"] = "opens the pools",
        ["src/KilnShare.Api/Hosting/Health.cs"] = "asks whether the database answers",
        ["src/KilnShare.Api/Hosting/JobRunner.cs"] = "claims jobs under another role than requests",
        ["src/KilnShare.Api/Hosting/PrivateCluster.cs"] = "starts a server and waits until it answers",
        ["src/KilnShare.Api/Hosting/Telemetry.cs"] = "names the driver's traces and figures",
    };

    private const string Installation = "the installation's token belongs to no studio";

    private static readonly Dictionary<string, string> WithoutStudioAllowed = new(StringComparer.Ordinal)
    {
        ["src/KilnShare.Api/Hosting/JobRunner.cs: select studio_id, id, kind, subject, att"] = "the worker claims the jobs of all studios, under a "
            + "role of its own",
        ["src/KilnShare.Api/Access/InstallationToken.cs: select hash as \"Value\" from installation"] = Installation,
        ["src/KilnShare.Api/Access/InstallationToken.cs: insert into installation_token (configur"] = Installation,
        ["src/KilnShare.Api/Access/InstallationToken.cs: update installation_token set hash = {ha"] = Installation,
    };

    private static readonly Dictionary<string, string> LongAllowed = new(StringComparer.Ordinal)
    {
        ["tests/KilnShare.Core.Tests/Cones/HeatWorkTests.cs"] = "one table of checks",
    };

    [Fact]
    public void Core_refers_to_NodaTime_and_the_platform_only()
    {
        var others = typeof(Length).Assembly.GetReferencedAssemblies().Select(a => a.Name!)
            .Where(n => n != "NodaTime" && n != "netstandard" && !n.StartsWith("System.", StringComparison.Ordinal));
        Assert.Empty(others);
        var packages = XDocument.Parse(Sources.Read("src/KilnShare.Core/KilnShare.Core.csproj")).Descendants()
            .Where(e => e.Name.LocalName is "PackageReference" or "ProjectReference" or "FrameworkReference").Select(e => e.Attribute("Include")?.Value);
        Assert.Equal("NodaTime", Assert.Single(packages));
    }

    // Common of Storage and Api is the edge itself: it writes ids, cones and lengths down for every capability.
    [Fact]
    public void No_capability_uses_a_later_one() => Same(
        LaterAllowed,
        HouseRules.UsesOfLater(Sources.Under("src").Where(f => !f.Path.StartsWith("src/KilnShare.Api/Common/", StringComparison.Ordinal)
            && !f.Path.StartsWith("src/KilnShare.Storage/Common/", StringComparison.Ordinal))));

    [Fact]
    public void The_order_of_the_capabilities_is_the_one_the_developers_page_names() =>
        Assert.Contains(
            string.Join(", ", HouseRules.Order), Sources.Read("DEVELOPERS.md").ReplaceLineEndings(" "), StringComparison.Ordinal);

    [Fact]
    public void The_database_driver_is_known_in_Storage_and_where_it_is_listed() => Same(
        DriverAllowed,
        HouseRules.KnowNpgsql(Sources.Under("src").Where(f => !f.Path.StartsWith("src/KilnShare.Storage/", StringComparison.Ordinal))));

    // EF's questions name the studio by a filter on every entity (KilnShareDb), which tests without row-level security hold it to.
    [Fact]
    public void SQL_in_the_code_names_the_studio() => Same(WithoutStudioAllowed, HouseRules.AskWithoutStudio(Sources.Under("src")));

    [Fact]
    public void No_file_is_longer_than_300_lines() => Same(LongAllowed, HouseRules.TooLong([.. Sources.Under("src"), .. Sources.Under("tests")]));

    [Fact]
    public void No_line_is_wider_than_160_columns() => Assert.Empty(HouseRules.TooWide([.. Sources.Under("src"), .. Sources.Under("tests")]));

    [Fact]
    public void Every_public_member_of_Core_must_be_documented_or_the_build_fails()
    {
        var settings = XDocument.Parse(Sources.Read("Directory.Build.props")).Descendants().ToLookup(e => e.Name.LocalName, e => e, StringComparer.Ordinal);
        Assert.Equal("true", Assert.Single(settings["GenerateDocumentationFile"]).Value);
        Assert.Equal("true", Assert.Single(settings["TreatWarningsAsErrors"]).Value);
        // CS1591 is the compiler's word for a public member without documentation: it may be off for tests only.
        Assert.All(settings["NoWarn"].Where(e => e.Value.Contains("1591", StringComparison.Ordinal)), e =>
            Assert.Contains("Tests", e.Parent!.Attribute("Condition")!.Value, StringComparison.Ordinal));
        Assert.DoesNotContain("NoWarn", Sources.Read("src/KilnShare.Core/KilnShare.Core.csproj"), StringComparison.Ordinal);
        Assert.DoesNotContain(Sources.Under("src/KilnShare.Core"), f => f.Text.Contains("1591", StringComparison.Ordinal));
    }

    [Fact]
    public void Each_rule_sees_a_planted_fault()
    {
        var wide = new string('x', HouseRules.MostColumns + 1);
        SourceFile[] planted =
        [
            new("src/KilnShare.Core/Cones/Fault.cs", "using KilnShare.Core.Costs;\n"),
            new("src/KilnShare.Api/Pieces/Fault.cs", "var x = new Npgsql.NpgsqlConnection();\n"),
            new("src/KilnShare.Storage/Costs/Raw.cs",
                "Run(\"select 1\"); Run(\"select sum(amount_minor) from ledger_entry\"); Run(\"\"\"\n  update clay set name = ''\n\"\"\"); Run(\"delete from "
                    + "clay where studio_id = $1\");\n"),
            new("src/KilnShare.Core/Costs/Fine.cs", "using KilnShare.Core.Cones;\n"),
            new("src/KilnShare.Core/Kilns/Wide.cs", $"//\n{wide}\n\"\"\"\n{wide}\n\"\"\"\n"),
            new("src/KilnShare.Core/Kilns/Long.cs", string.Concat(Enumerable.Repeat("//\n", HouseRules.MostLines + 1))),
        ];
        Assert.Equal(["src/KilnShare.Core/Cones/Fault.cs uses Costs"], HouseRules.UsesOfLater(planted));
        Assert.Equal(["src/KilnShare.Api/Pieces/Fault.cs"], HouseRules.KnowNpgsql(planted));
        Assert.Equal(["src/KilnShare.Core/Kilns/Long.cs"], HouseRules.TooLong(planted));
        Assert.Equal(["src/KilnShare.Storage/Costs/Raw.cs: select sum(amount_minor) from ledger_ent",
            "src/KilnShare.Storage/Costs/Raw.cs: update clay set name = ''"], HouseRules.AskWithoutStudio(planted));
        Assert.Equal(["src/KilnShare.Core/Kilns/Wide.cs:2"], HouseRules.TooWide(planted));
        Assert.ThrowsAny<Exception>(() => Same(LongAllowed, HouseRules.TooLong(planted)));
    }

    /// <summary>The complaints are those that are listed, no more and no fewer.</summary>
    private static void Same(Dictionary<string, string> allowed, IReadOnlyList<string> complaints)
    {
        Assert.Empty(complaints.Except(allowed.Keys, StringComparer.Ordinal));
        Assert.Empty(allowed.Keys.Except(complaints, StringComparer.Ordinal));
    }
}
