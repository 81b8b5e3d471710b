using System.Globalization;
using System.Net;
using KilnShare.Api.Tests.Common;

namespace KilnShare.Api.Tests.Costs;

/// <summary>
/// A studio whose members owe amounts that no other figure in it looks like: firings of two and of three, damage, a fee, and what one used up.
/// </summary>
internal sealed class AmountsWorld
{
    private const decimal Kwh = 91_234.567m;
    private const long LossMinor = 876_543;
    private const int Catchers = 7_771;
    private const long LeastTold = 10_000;

    private AmountsWorld(CostStudio costs, Guid third) => (Costs, Third) = (costs, third);

    public CostStudio Costs { get; }

    public TestStudio Studio => Costs.Studio;

    public string Path => Costs.Path;

    public Guid Third { get; }

    /// <summary>Settled, of Mira and Jonas, who used catchers up; Jonas broke something of the third's.</summary>
    public Guid OfTwo { get; private set; }

    /// <summary>Settled, of three.</summary>
    public Guid OfThree { get; private set; }

    /// <summary>Open; Jonas withdrew late from it.</summary>
    public Guid Open { get; private set; }

    public Guid Withdrawn { get; private set; }

    private long Fee { get; set; }

    public static async Task<AmountsWorld> Make(Service service)
    {
        var costs = await CostStudio.Make(service);
        var (mira, jonas) = (costs.Studio.Potter, costs.Studio.OtherPotter);
        var (third, nora) = await costs.Studio.Add(service, "Nora", "potter");
        var world = new AmountsWorld(costs, third);
        await costs.Rules(
            new { surcharges = new[] { new { name = "catcher", eachMinor = 150 } }, withdrawal = new[] { new { hoursBefore = 2_000, percent = 37 } } });
        world.OfTwo = await costs.Accepting();
        await costs.Fire(world.OfTwo, [await costs.Piece(mira, 3), await costs.Piece(jonas)], Kwh);
        var firing = $"{world.Path}/firings/{world.OfTwo}";
        (await costs.Studio.Technician.Put(firing + "/surcharges",
            new { surcharges = new[] { new { memberId = costs.OtherPotterId, name = "catcher", count = Catchers } } })).Expect(HttpStatusCode.OK);
        (await costs.Studio.Technician.Post(firing + "/incidents", new
        {
            causedBy = costs.OtherPotterId,
            losses = new[] { new { memberId = third, amountMinor = LossMinor, what = "bowl" } },
            reason = "the glaze ran"
        })).Expect(HttpStatusCode.Created);
        world.OfThree = await costs.Accepting();
        await costs.Fire(world.OfThree, [await costs.Piece(mira), await costs.Piece(jonas, 2), await costs.Piece(nora, 3)], Kwh + 1_000);
        foreach (var settled in new[] { world.OfTwo, world.OfThree })
            (await costs.Studio.Technician.Post($"{world.Path}/firings/{settled}/settlement")).Expect(HttpStatusCode.Created);
        world.Open = await costs.Accepting();
        world.Withdrawn = TestStudio.IdOf(
            await jonas.Post($"{world.Path}/firings/{world.Open}/bookings", new { pieces = new[] { new { pieceId = await costs.Piece(jonas) } } }));
        world.Fee = (await jonas.Post($"{world.Path}/firings/{world.Open}/bookings/{world.Withdrawn}/withdrawal"))
            .Expect(HttpStatusCode.OK).Body.GetProperty("feeMinor").GetInt64();
        return world;
    }

    /// <summary>Says who reads everybody's amounts.</summary>
    public async Task Show(string to) => (await Studio.Owner.Patch(Path, new { amountsShownTo = to }, "*")).Expect(HttpStatusCode.OK);

    /// <summary>The amounts of these members, and the total of the firing of two, as they are written in JSON and on paper.</summary>
    public async Task<IReadOnlyDictionary<string, string>> Secrets(params Guid[] members)
    {
        var found = new Dictionary<string, string>(StringComparer.Ordinal);
        foreach (var (name, firing) in new[] { ("two", OfTwo), ("three", OfThree) })
        {
            var split = (await Studio.Owner.Get($"{Path}/firings/{firing}/settlement")).Expect(HttpStatusCode.OK).Body.GetProperty("split");
            if (firing == OfTwo) Add("the total of two", split.GetProperty("totalMinor").GetInt64());
            foreach (var share in split.GetProperty("shares").EnumerateArray().Where(s => members.Contains(Guid.Parse(s.GetProperty("id").GetString()!))))
            {
                Add($"a share of {name}", share.GetProperty("amountMinor").GetInt64());
                foreach (var part in share.GetProperty("parts").EnumerateArray())
                    Add($"{part.GetProperty("name")} of {name}", part.GetProperty("amountMinor").GetInt64());
            }
        }

        if (members.Contains(Costs.OtherPotterId))
        {
            Add("a fee", Fee);
            Add("a loss", LossMinor);
            found[$"\"count\":{Catchers}"] = "what was used up";
        }

        return found;

        void Add(string what, long minor)
        {
            if (Math.Abs(minor) < LeastTold) return;
            found[minor.ToString(CultureInfo.InvariantCulture)] = what;
            found[(minor / 100m).ToString("0.00", CultureInfo.InvariantCulture)] = what + ", in major units";
        }
    }

    /// <summary>The ids that paths name, with these two for firing and booking.</summary>
    public Func<string, Guid?> Ids(Guid firing) => name => name switch
    {
        "studioId" => Studio.Id,
        "firingId" => firing,
        "bookingId" => Withdrawn,
        "kilnId" => Costs.Kiln,
        "memberId" => Costs.OtherPotterId,
        "year" or "month" => Guid.Empty,
        _ => null,
    };
}
