/*
 * The main job through the Kotlin bindings: open a store, take up an invented system, follow a simulated
 * controller that has a fault, and ask for the causes. A shell for a person would do no more than this.
 */
package wellwright.smoke

import java.nio.file.Files
import java.nio.file.Path
import java.util.concurrent.CopyOnWriteArrayList
import java.util.concurrent.CountDownLatch
import java.util.concurrent.TimeUnit
import kotlin.system.exitProcess
import wellwright.core.FindingView
import wellwright.core.NowObserver
import wellwright.core.NowView
import wellwright.core.Simulation
import wellwright.core.Stage
import wellwright.core.Wellwright
import wellwright.core.WellwrightException
import wellwright.core.demoRecords
import wellwright.core.uniffiEnsureInitialized

/** How much faster than real time the simulated controller goes: 40 minutes in a few seconds. */
const val SPEED = 600.0

/** The longest that a session may take before it is given up, s. */
const val LONGEST_S = 60L

/** Keeps every view that the core pushes, and knows when the last one has come. */
class Kept : NowObserver {
    val views = CopyOnWriteArrayList<NowView>()
    val ended = CountDownLatch(1)

    override fun onUpdate(view: NowView) {
        views.add(view)
        if (view.stage == Stage.ENDED) ended.countDown()
    }
}

/** What a first look gave. */
data class FirstLook(val views: List<NowView>, val finding: FindingView)

/** Follows the first demo system with this fault to the end of what is played, and ranks the causes. */
fun firstLook(folder: Path, cause: String): FirstLook {
    uniffiEnsureInitialized()
    return Wellwright.open(folder.resolve("wells.db").toString()).use { wellwright ->
        val demo = demoRecords().first()
        val system = wellwright.addSystem(demo.toml, demo.fileName)
        wellwright.startSimulated(system.id, Simulation(cause, seed = 1uL, speed = SPEED, lengthS = null))
        val kept = Kept()
        wellwright.observe(kept).use {
            check(kept.ended.await(LONGEST_S, TimeUnit.SECONDS)) { "the session did not end" }
        }
        val finding = wellwright.finding()
        wellwright.stop()
        FirstLook(kept.views.toList(), finding)
    }
}

/** One line for a view: where the session stands, and the water. */
fun line(view: NowView): String {
    val flow = view.readings.find { it.id == "flow" }
    val water = flow?.let { "${it.name} ${it.value} ${it.unit}, should be ${it.should ?: "-"}" } ?: "no reading yet"
    return "${view.system}: ${view.stageText}; $water"
}

/** One line for the answer: the leading cause. */
fun line(finding: FindingView): String {
    val leading = finding.causes.first()
    return "${finding.system}: ${leading.code} (${leading.name}), ${"%.2f".format(leading.probability)}"
}

fun main() {
    val folder = Files.createTempDirectory("wellwright")
    try {
        val look = firstLook(folder, "reversed_rotation")
        look.views.forEach { println(line(it)) }
        println(line(look.finding))
    } catch (e: WellwrightException) {
        System.err.println(e.message)
        exitProcess(1)
    } finally {
        folder.toFile().deleteRecursively()
    }
}
