using KilnShare.Api.Energy;
using KilnShare.Core.Bookings;
using KilnShare.Core.Common;
using KilnShare.Core.Costs;
using KilnShare.Core.Firings;
using KilnShare.Core.Kilns;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using Microsoft.EntityFrameworkCore;

namespace KilnShare.Api.Costs;

/// <summary>
/// What a firing's cost goes by, but its ware and its energy: price and rules as they are now, chamber and spacing as its ware was planned in them.
/// </summary>
/// <param name="Firing">The firing.</param>
/// <param name="Kiln">Its kiln as it is now.</param>
/// <param name="Planned">Its kiln as the firing's plan was made for it.</param>
/// <param name="Studio">The studio.</param>
/// <param name="Rules">Its cost rules.</param>
/// <param name="Surcharges">What single members used up.</param>
/// <param name="LearntFirings">From how many firings the kiln has been learnt.</param>
internal sealed record CostGround(
    Firing Firing, Kiln Kiln, KilnMaking Planned, Studio Studio, CostRules Rules, IReadOnlyList<SurchargeUse> Surcharges, int LearntFirings)
{
    /// <summary>The studio's currency.</summary>
    public Currency Currency => Core.Common.Currency.Parse(Studio.Currency)!.Value;

    /// <summary>Reads it.</summary>
    public static async Task<CostGround> Read(KilnShareDb db, Firing firing, CancellationToken cancellation)
    {
        var kiln = await db.Set<Kiln>().AsNoTracking().SingleAsync(k => k.StudioId == firing.StudioId && k.Id == firing.KilnId, cancellation);
        var surcharges = await db.Set<FiringSurcharges>().AsNoTracking()
            .SingleOrDefaultAsync(s => s.StudioId == firing.StudioId && s.FiringId == firing.Id, cancellation);
        var ground = await db.Set<PlanGround>().AsNoTracking()
            .SingleOrDefaultAsync(g => g.StudioId == firing.StudioId && g.FiringId == firing.Id, cancellation);
        return new CostGround(
            firing, kiln, ground?.Making
                ?? kiln.Making, await StudioReading.ReadStudio(db, cancellation), await StudioReading.RulesOf(db, cancellation), surcharges?.Uses ?? [],
            await KilnLearning.CountFirings(db, kiln, cancellation));
    }

    /// <summary>All but the energy, for this ware.</summary>
    public Result<FiringCostBasis> Basis(IReadOnlyList<UsedCopy> copies) =>
        FiringUses.Of(copies, Planned.Spacing, Firing.Aim, Rules with { EnergyBasis = KwhOffer.EnergyBasis(Rules, LearntFirings) })
            .Then<FiringCostBasis>(uses =>
            new FiringCostBasis(
                Firing.Id.ToString(), Firing.Aim.Kind, Firing.Outcome ?? FiringOutcome.Sound, Studio.PerKwh, Kiln.Making.WearMinor, uses, Surcharges, Rules,
                KilnCapacity.Cm3(Planned.Chamber))
            {
                LearntFirings = LearntFirings,
            });
}
