using KilnShare.Core.Cones;

namespace KilnShare.Core.Firings;

/// <summary>A schedule to begin with, for a usual purpose; every kiln then finds its own by its witness cones.</summary>
/// <param name="Name">Short name.</param>
/// <param name="Kind">What the firing does.</param>
/// <param name="Cone">The self-supporting cone it is meant to bring down; null where the programme is published by temperature.</param>
/// <param name="Schedule">Ramps and holds from a room at 20 °C.</param>
/// <param name="Purpose">What it is for and what to mind.</param>
/// <param name="Source">Where its figures come from.</param>
public sealed record StartingSchedule(string Name, FiringKind Kind, Cone? Cone, FiringSchedule Schedule, string Purpose, string Source);

/// <summary>The shelf of starting schedules.</summary>
/// <remarks>
/// A published mid-range teaching programme (150 °C/h to 1250 °C, 30 min) is left out: by the cone table its hold brings down cone 9,
/// three cones more than a mid-range body stands.
/// </remarks>
public static class StartingSchedules
{
    private const double RoomC = 20;
    private const string Teaching = "published: university ceramics teaching notes";
    private const string Practice = "common practice, no source; peak worked out from the cone table (2016 edition)";

    /// <summary>All of them, lowest stage of the ware first.</summary>
    public static IReadOnlyList<StartingSchedule> All { get; } =
    [
        new("bisque-thin", FiringKind.Bisque, null,
            Of(new Segment(90, 90, 30), new Segment(100, 600, 30), new Segment(150, 900, 0)),
            "First firing of dry greenware with thin, even walls. It waits for the last damp below the boiling point.", Teaching),
        new("bisque-thick", FiringKind.Bisque, null,
            Of(new Segment(50, 90, 180), new Segment(100, 600, 30), new Segment(150, 900, 0)),
            "First firing of dry greenware with thick or uneven walls. Lengthen the first hold if anything still feels "
                + "cool to the cheek.", Teaching),
        ToCone("bisque-06", FiringKind.Bisque, "06", new Segment(60, 90, 120), 60, 0,
            "First firing of dry greenware to cone 06, with a drying hold below the boiling point. Thick walls want that hold longer.",
            new Segment(100, 600, 0), new Segment(150, BelowPeakOf("06"), 0)),
        ToCone("bisque-04", FiringKind.Bisque, "04", new Segment(60, 90, 120), 60, 0,
            "First firing of dry greenware to cone 04, for bodies whose gases shall be gone before the glaze.",
            new Segment(100, 600, 0), new Segment(150, BelowPeakOf("04"), 0)),
        ToCone("underglaze-set", FiringKind.UnderglazeSet, "05", new Segment(125, 600, 0), 150, 0,
            "Fastens underglaze on bisque, so that glaze brushed over it does not smear it. Take the cone your glaze "
                + "needs the body open for."),
        ToCone("glaze-low", FiringKind.Glaze, "05", new Segment(80, 120, 0), 80, 10,
            "Low-fire glaze on bisque. The slow start drives off the water of the glaze.", new Segment(180, BelowPeakOf("05"), 0)),
        ToCone("glaze-cone-6", FiringKind.Glaze, "6", new Segment(100, 600, 0), 60, 15,
            "Mid-range glaze to cone 6, with a slow finish and a short hold that let the glaze "
                + "heal.", new Segment(150, BelowPeakOf("6"), 0)),
        ToCone("glaze-cone-10", FiringKind.Glaze, "10", new Segment(100, 600, 0), 60, 15,
            "High-fire glaze to cone 10, with a slow finish and a short hold.", new Segment(150, BelowPeakOf("10"), 0)),
        ToCone("drop-and-hold-cone-6", FiringKind.Glaze, "6", [new Segment(100, 600, 0), new Segment(150, BelowPeakOf("6"), 0)], new Segment(60, 0, 5),
            [new Segment(150, DropTo("6"), 30)],
            "Mid-range glaze to cone 6, then a quick drop and a hold in which blisters and pinholes heal while the glaze is too stiff to run."),
        ToCone("slow-cool-cone-6", FiringKind.Glaze, "6", [new Segment(100, 600, 0), new Segment(150, BelowPeakOf("6"), 0)], new Segment(60, 0, 10),
            [new Segment(150, 1040, 0), new Segment(80, 760, 0)],
            "Mid-range glaze to cone 6, cooled slowly where crystals grow: mattes turn softer and richer, clear glazes may cloud."),
        ToCone("enamel", FiringKind.Overglaze, "017", new Segment(100, 500, 0), 100, 0,
            "Overglaze enamel on finished glaze. Vent until the smell of the medium is gone."),
        ToCone("lustre", FiringKind.Overglaze, "018", new Segment(100, 500, 0), 100, 0,
            "Lustre and metallics on finished glaze, alone in the kiln. Vent until the smell is gone; the fumes are harmful."),
        ToCone("decal", FiringKind.Overglaze, "018", new Segment(100, 500, 0), 100, 0,
            "Printed transfers on finished glaze, alone in the kiln. Vent until the paper's lacquer has burnt off; "
                + "follow the maker's cone."),
    ];

    private static FiringSchedule Of(params Segment[] segments) => new(RoomC, segments);

    // The fast middle part ends a hundred degrees below the cone, where the rate begins to count.
    private static double BelowPeakOf(string cone) => ConeTables.At(ConeSeries.SelfSupporting, Cones.Cone.Parse(cone), 60).Value.Celsius - 120;

    // A hold about eighty degrees below the cone: practice drops by sixty to a hundred.
    private static double DropTo(string cone) => BelowPeakOf(cone) + 40;

    private static StartingSchedule ToCone(
        string name, FiringKind kind, string coneName, Segment first, double endRate, double holdMinutes, string purpose, params Segment[] middle) =>
        ToCone(name, kind, coneName, [first, .. middle], new Segment(endRate, 0, holdMinutes), [], purpose);

    /// <summary>The climb, the peak (whose temperature is found) and what comes after it; the cone is just down at the end of it all.</summary>
    private static StartingSchedule ToCone(
        string name, FiringKind kind, string coneName, Segment[] climb, Segment peak, Segment[] after, string purpose)
    {
        var cone = Cones.Cone.Parse(coneName);
        var nearC = ConeTables.At(ConeSeries.SelfSupporting, cone, peak.RateCPerHour!.Value).Value.Celsius;
        var shape = Of([.. climb, peak with { ToC = nearC }, .. after]);
        var fitted = SchedulePeak.FitPeak(shape, ConeSeries.SelfSupporting, cone).Value;
        // Controllers take whole degrees; one rounded up still brings the cone down.
        var whole = fitted.Segments.Select((s, i) => s with { ToC = i == climb.Length ? Math.Ceiling(s.ToC) : Math.Round(s.ToC) });
        return new StartingSchedule(name, kind, cone, fitted with { Segments = [.. whole] }, purpose, Practice);
    }
}
